package report

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"pegcard/prescribe"
)

// workColumn is a column of the sheet Working. A formula names other columns of
// its row in braces, rules in double angle brackets, and the plates as PLATES.
type workColumn struct {
	key, group, head string
	formula          string // empty: a value, which may be missing
	input            bool
}

// workColumns is the chain from the record to the plates, in the engine's
// order; see prescribe.Working.
func workColumns() []workColumn {
	var out []workColumn
	group := ""
	value := func(key, head string) { out = append(out, workColumn{key: key, group: group, head: head}) }
	input := func(key, head string) { out = append(out, workColumn{key: key, group: group, head: head, input: true}) }
	formula := func(key, head, f string) {
		out = append(out, workColumn{key: key, group: group, head: head, formula: f})
	}
	built := func(target string) string { return "INDEX(PLATES,MATCH(ROUND(" + target + ",6)+0.0005,PLATES,1))" }

	group = "Card"
	value("player", "Player")
	value("day", "Day")
	value("exercise", "Exercise")
	value("slot", "Slot")

	group = "Record"
	value("rec1", "Row on Records")
	value("rec2", "Row of the other side")
	input("share", "Share of that record")
	formula("record", "Record used, kg", `={share}*IF({rec2}="",RECORD1(G),MIN(RECORD1(G),RECORD2(G)))`)
	formula("median", "Its median, kg", `={share}*IF({rec2}="",RECORD1(D),IF(RECORD2(G)<RECORD1(G),RECORD2(D),RECORD1(D)))`)
	formula("own", "Player's own curve", `=IF({rec2}="",RECORD1(F),IF(RECORD2(G)<RECORD1(G),RECORD2(F),RECORD1(F)))`)
	// A percentage of the programme is held against the cautious curve, as the
	// engine does.
	formula("curve", "Curve", `=IF({asked}="",{own},IF({rec2}="",RECORD1(O),IF(RECORD2(G)<RECORD1(G),RECORD2(O),RECORD1(O))))`)

	group = "Percentage"
	input("asked", "Programme, %")
	input("total", "Repetitions done and in reserve")
	formula("table", "Table at these, %", `=IF({total}="","",FRACTION({total},{curve}))`)
	input("youth", "Under 18 at most, %")
	formula("percent", "Percentage", `=MIN({asked},{table},{youth})`)
	formula("wanted", "Record × percentage, kg", `={record}*{percent}/100`)
	input("bodyshare", "Share of body mass lifted")
	input("bodymass", "Body mass, kg")
	formula("body", "Body in it, kg", `={bodyshare}*{bodymass}`)

	group = "Last time"
	input("lastload", "Load, kg, last time")
	input("lastpercent", "% of the record then")
	// Work at another percentage is other work.
	formula("last", "Last load, kg", `=IF({lastload}="","",IF({lastpercent}="",{lastload},IF(ABS({lastpercent}-{percent})<=<<load.same_within>>+0.05,{lastload},"")))`)
	input("lastasked", "Repetitions asked")
	input("lastreps", "Fewest done")
	input("lastrir", "In reserve")
	input("written", "As written (1 yes)")
	input("stopped", "Stopped (1 yes)")
	input("ago", "Days ago")
	input("highest", "Highest lately completed, kg")
	input("highestago", "Days ago, that")
	input("tested", "Tested since (1 yes)")

	group = "Step limit"
	input("reps", "Repetitions today")
	input("unbroken", "Of these without a pause")
	input("leave", "To leave in reserve at least")
	more := ""
	for n := 1; n <= 4; n++ {
		more += fmt.Sprintf("+IF(FRACTION(({reps}+%d),{curve})>={percent}-0.000000001,1,0)", n)
	}
	formula("planned", "To leave in reserve", `=IF({leave}="","",IF({asked}="",{leave},MIN(MAX({leave},0`+more+`),4)))`)
	input("maykeep", "May stay as heavy (1 yes)")
	formula("up", "At most up by, %", "=<<UP>>")
	formula("stepfrom", "From, kg", `=IF(OR({last}="",{tested}=1),"",IF({highestago}<=<<load.top_days>>,MAX({last},{highest}),{last}))`)
	formula("capped", "Not more than a step up, kg", `=IF({stepfrom}="",{wanted},MIN({wanted},({stepfrom}+{body})*(1+{up}/100)))`)
	formula("carried", "Median carries, kg", `={median}*FRACTION({unbroken},{curve})/100`)
	formula("keep", "Kept as heavy (1 yes)", `=IF({last}="",0,IF(AND({maykeep}=1,{capped}<{last}+{body},OR({lastasked}="",{lastasked}>={reps}),{written}=1,{stopped}=0,`+
		`{ago}<=<<load.keep_days>>,OR({lastrir}="",{planned}="",{lastrir}>=N({planned})-<<load.keep_effort>>),{last}+{body}<={carried}),1,0))`)
	formula("target", "Target, kg", `=IF({keep}=1,{last}+{body},{capped})`)

	group = "Limits"
	input("oftarget", "Soreness or restriction: % of target")
	input("oflower", "Ask medical staff: % of target or last, the lower")
	input("ofrecord", "Limit: % of the record")
	input("ofbefore", "After a break: %")
	input("before", "of the record when it began, kg")
	formula("lower", "Limit 2, kg", `=IF({oflower}="","",IF({last}="",{target},MIN({target},{last}+{body}))*{oflower}/100)`)
	formula("capkg", "Limit 3, kg", `=IF({ofrecord}="","",{record}*{ofrecord}/100)`)
	formula("limited", "Lowest of target and limits, kg", `=MIN({target},IF({oftarget}="",9E9,{target}*{oftarget}/100),{lower},{capkg},`+
		`IF({ofbefore}="",9E9,{before}*{percent}/100*{ofbefore}/100))`)

	group = "Coach"
	input("coach", "Coach's load, kg")
	formula("allowed", "Allowed, kg", `=MIN({median}*{percent}/100,{lower},{capkg})`)
	formula("tobuild", "To be built, kg", `=IF({coach}="",{limited},MIN({coach}+{body},{allowed}))-{body}`)

	group = "Plates"
	formula("rounded", "Rounded down, kg", `=IF(AND({bodyshare}<>"",{tobuild}<0),0,IFERROR(`+built("{tobuild}")+`,"none"))`)
	input("maystep", "May take a larger step (1 yes)")
	formula("fits", "Last load can be built (1 yes)", `=IF({last}="",0,IFERROR(IF(`+built("{last}")+`>={last}-0.000001,1,0),0))`)
	formula("next", "Next load above last, kg", `=IF({last}="","",IFERROR(INDEX(PLATES,IFERROR(MATCH({last}+0.0005,PLATES,1),0)+1),""))`)
	formula("nextpct", "That is up by, %", `=IF({next}="","",100*({next}-{last})/({last}+{body}))`)
	input("left", "To be left with more repetitions")
	formula("more", "Repetitions before a step", `=MIN(MAX({lastasked},{reps})+1,{reps}+<<load.extra_reps>>)`)
	formula("atmore", "Record carries with these, kg", `={record}*FRACTION(({more}+{left}),{own})/100`)
	formula("first", "More repetitions that a step takes", `=IF({nextpct}="","",MIN(<<load.extra_reps>>,ROUNDUP({nextpct}/{up}-0.000001,0)-1))`)
	formula("ready", "Enough repetitions came first (1 yes)", `=IF({first}="",0,IF(OR({lastasked}>={reps}+{first},{last}+{body}>{atmore}*1.000001),1,0))`)
	formula("load", "Load, kg", `=IF(OR({rounded}="none",{maystep}<>1,{last}="",{limited}<{target},{coach}<>"",{tobuild}<0),{rounded},`+
		`IF(OR({rounded}>{last}+0.000001,{fits}=0,{target}<=({last}+{body})*1.000001),{rounded},IF({next}="",{last},IF({nextpct}<={up}+0.000001,{rounded},`+
		`IF(AND({ready}=1,{lastreps}>={lastasked},{stopped}=0,{nextpct}<=<<load.step_max>>+0.000001,`+
		`{wanted}>=({next}+{body})*0.999999),{next},{last})))))`)
	formula("pct", "% of the record", `=IFERROR(ROUND(100*({load}+{body})/{record},1),"")`)

	group = "Lowering"
	input("lowering", "Lowering, % of the record")
	formula("eccentric", "Load down, kg", `=IF({lowering}="","",IFERROR(`+built("{record}*{lowering}/100")+`,"none"))`)

	group = "Warm-up"
	// Towards the heaviest that is lifted or lowered.
	formula("top", "Towards, kg", `=IF({lowering}="",{load},{eccentric})`)
	formula("toppct", "That is, % of the record", `=IF({lowering}="",{pct},100*{top}/{record})`)
	formula("from", "Shown from, %", `=<<warmup.from>>-IF({percent}>=<<warmup.from>>,<<dose.rounding>>,0)`)
	// With the body in the load it is one set without added load: half of the
	// body cannot be left out.
	warm := func(key, head, rule, before, body string) {
		b := built("{top}*<<" + rule + ">>/{toppct}")
		formula(key, head, `=IFERROR(IF(AND({toppct}>={from},{top}>0),IF({bodyshare}<>"",`+body+`,IF(AND(`+b+`<{top},`+b+`>`+before+`),`+b+`,"")),""),"")`)
	}
	warm("w1", "First, kg", "warmup.first_percent", "-1", "0")
	warm("w2", "Second, kg", "warmup.second_percent", "MAX({w1})", `""`)
	warm("w3", "Third, kg", "warmup.third_percent", "MAX({w1},{w2})", `""`)

	group = "Compared"
	value("issued", "Load on the card, kg")
	formula("same", "Same as the card", `=IF({load}={issued},"same","differs by "&({load}-{issued}))`)
	return out
}

var (
	columnRef   = regexp.MustCompile(`\{([a-z0-9]+)\}`)
	ruleRef     = regexp.MustCompile(`<<([A-Za-z_.0-9]+)>>`)
	recordRef   = regexp.MustCompile(`RECORD([12])\(([A-Z])\)`)
	fractionRef = regexp.MustCompile(`FRACTION\(([A-Z0-9$+()]+),([A-Z0-9$]+)\)`)
)

// working writes a line of the chain and gives its row.
func (x *bookWriter) working(c BookCard, it prescribe.Item, ex prescribe.Exercise, w prescribe.Working) int {
	row := x.take(sheetWork)
	loads, _ := x.plates(c, ex)
	up := "load.up_upper"
	if ex.Lower {
		up = "load.up_lower"
	}
	values := workingValues(c, it, ex, w)
	rows := [2]int{}
	for i, r := range w.Records {
		rows[i] = x.record(c, r)
		values[fmt.Sprintf("rec%d", i+1)] = rows[i]
	}
	for i, col := range x.work {
		cell := at(columnName(i+1), row)
		if col.formula == "" {
			style := x.style.plain
			if col.input {
				style = x.style.input
			}
			if v, ok := values[col.key]; ok {
				x.set(sheetWork, cell, v, style)
			} else {
				x.do(x.f.SetCellStyle(sheetWork, cell, cell, style))
			}
			continue
		}
		f := columnRef.ReplaceAllStringFunc(col.formula, func(s string) string { return at(x.col[s[1:len(s)-1]], row) })
		f = recordRef.ReplaceAllStringFunc(f, func(s string) string {
			m := recordRef.FindStringSubmatch(s)
			n := rows[int(m[1][0]-'1')]
			if n == 0 {
				n = rows[0] // a side without a record: the formula does not come to it
			}
			return sheetRecords + "!" + at("$"+m[2]+"$", n)
		})
		f = fractionRef.ReplaceAllStringFunc(f, func(s string) string {
			m := fractionRef.FindStringSubmatch(s)
			return fractionOf(m[1], m[2], x.rule(c.Rules, "load.beyond_table"))
		})
		f = strings.ReplaceAll(f, "<<UP>>", x.rule(c.Rules, up))
		f = ruleRef.ReplaceAllStringFunc(f, func(s string) string { return x.rule(c.Rules, s[2:len(s)-2]) })
		f = strings.ReplaceAll(f, "PLATES", loads)
		style := x.style.two
		if col.key == "load" {
			style = x.style.check
		}
		x.set(sheetWork, cell, f, style)
	}
	return row
}

// workingValues are the inputs of a line; what is missing does not apply.
func workingValues(c BookCard, it prescribe.Item, ex prescribe.Exercise, w prescribe.Working) map[string]any {
	v := map[string]any{
		"player": c.Name, "day": c.Card.Day.String(), "exercise": ex.Name, "slot": it.Slot,
		"share": w.Share, "reps": w.Reps, "unbroken": w.Unbroken,
		"maykeep": flag(w.MayKeep), "maystep": flag(w.MayStep), "issued": float64(it.Load),
	}
	put := func(key string, value float64) {
		if value > 0 {
			v[key] = value
		}
	}
	put("asked", float64(w.Asked))
	if w.Total > 0 {
		v["total"] = w.Total
	}
	put("youth", float64(w.Youth))
	put("lowering", float64(w.Lower))
	if w.BodyShare > 0 {
		v["bodyshare"], v["bodymass"] = w.BodyShare, float64(w.BodyMass)
	}
	if w.Planned != nil {
		v["leave"] = int(*w.Planned)
		if w.Asked > 0 {
			v["leave"] = w.Reserve // the percentage may leave more
		}
	}
	if l := w.Last; l != nil {
		v["lastload"], v["lastreps"], v["written"], v["stopped"], v["ago"] = float64(l.Load), l.Reps, flag(l.AsWritten), flag(l.Stopped), int(c.Card.Day-l.Day)
		v["highest"], v["highestago"], v["tested"], v["left"] = float64(l.Top), int(c.Card.Day-l.TopDay), flag(w.Tested), w.Left
		if l.Scheme != "" {
			put("lastpercent", float64(l.Intended))
		}
		put("lastasked", float64(l.Asked))
		if l.RIR != nil {
			v["lastrir"] = int(*l.RIR)
		}
	}
	for _, l := range w.Limits {
		key := "of" + string(l.Of)
		if old, ok := v[key].(float64); !ok || l.Percent < old {
			v[key] = l.Percent
		}
		if l.Of == prescribe.OfBefore && w.Percent > 0 {
			v["before"] = float64(l.Base) * 100 / float64(w.Percent)
		}
	}
	if w.Edit != nil {
		v["coach"] = float64(*w.Edit)
	}
	for key, x := range v {
		if f, ok := x.(float64); ok && (math.IsNaN(f) || math.IsInf(f, 0)) {
			delete(v, key)
		}
	}
	return v
}

func flag(b bool) int {
	if b {
		return 1
	}
	return 0
}
