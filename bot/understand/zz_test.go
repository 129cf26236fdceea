package understand_test
import ("testing";"fmt";"pegcard/bot/understand")
func TestZZ(t *testing.T){
 for _,s:=range []string{"all good","all good thanks","clash of heads in training, all good though","done, but felt a pop in hamstring","pain shoulder when pressing 4, rest done","38 degrees","temp 39","temp is 39.5","I have 38.5","my heart is going crazy","no power in my arm","lost power in my leg","ankle is huge","knee like a balloon","legs heavy","dizzy","hamstring 9","felt a snap in my calf","snap","5x5 100","push-up 3 x 12","37.2 degrees","its ok now","pain","my leg hurts","hurts","pain 8","squats hurt 3","huge session, quads sore 5","crazy session done","knee buckled under me","38 degrees in the gym today, done","shoulder 6","ill with a temperature of 40","7","calf raise 3x12 40","done 38 min", "100x5 at 38 degrees","fieber 39 grad","tengo 39 grados","39 de fiebre","j'ai 39 de température","ho 39 di febbre","40 graden","keine kraft im arm","sem força no braço","rodilla enorme","Knie ist riesig","genou énorme", "left it at the gym, all good", "ok", "👍", "all good now", "knee fine now","hand is massive today", "hit a massive PB, foot drive good"}{
  for _,c:=range []string{"four"}{
   fmt.Printf("%-50s | %s\n",s,show(understand.Read(s,understand.Context{Lang:"en",Items:cards[c]})))
  }}
}
