package understand
import ("testing";"fmt")
func TestZY(t *testing.T){
 r:=&reader{flags:map[string]string{}}
 toks:=tokenise(normalise("push-up 3 x 12"))
 ls:=tag(toks,make([]bool,len(toks)),Context{Lang:"en",Items:[]Item{{Exercise:"back_squat"}}})
 for _,l:=range ls{fmt.Printf("%+v\n",l)}
 var rest []lexeme
 for _,l:=range ls{ if !l.exercise()&&!l.has("exword"){rest=append(rest,l)}}
 got:=(&setParser{as:r.atoms(rest)}).parse()
 fmt.Printf("%+v\n",got)
 fmt.Printf("%+v\n",r.resolve(got.groups,nil))
}
