package understand

import (
	"slices"
	"strings"

	"pegcard/prescribe"
)

// clauses splits lexemes where a thought ends: at a line, a full stop, a
// "but", and at a comma or an "and" that does not stand between two numbers.
func clauses(ls []lexeme) [][]lexeme {
	var out [][]lexeme
	start := 0
	cut := func(i int, keep bool) {
		if i > start {
			out = append(out, ls[start:i])
		}
		start = i
		if !keep {
			start++
		}
	}
	bracket := false
	for i, l := range ls {
		soft := i > 0 && i+1 < len(ls) && measured(ls[i-1]) && (ls[i+1].number() || ls[i+1].symbol("+") || ls[i+1].has("bodyweight"))
		if i > 0 && i+2 < len(ls) && measured(ls[i-1]) && ls[i+1].has("set") && ls[i+2].number() {
			soft = true // "set 1: 5, set 2: 4"
		}
		soft = soft || (l.symbol(",&") || l.has("and")) && unscored(ls[start:i]) && bodyNext(ls[i+1:])
		// "hamstring sore, 4"
		soft = soft || l.symbol(",") && unscored(ls[start:i]) && i+1 < len(ls) && ls[i+1].kind == lexNumber &&
			(i+2 == len(ls) || !ls[i+2].symbol("x,/-") && !ls[i+2].has("by") && !ls[i+2].has("kg") && !ls[i+2].has("lb") && !ls[i+2].has("set") && !ls[i+2].has("minutes"))
		soft = soft && !(l.symbol(",") && scored(ls[start:i]))
		if l.symbol("(") && i > 0 && i+1 < len(ls) && measured(ls[i-1]) && ls[i+1].number() {
			bracket = true // "3x5 (100 kg)"
			continue
		}
		if l.symbol(")") && bracket {
			bracket = false
			continue
		}
		switch {
		case l.has("unsure"):
			cut(i, true)
		case l.symbol("\n;.!?()"):
			cut(i, false)
		case l.has("but") || l.has("except"):
			cut(i, l.has("except"))
		case l.symbol(",&") && !soft, l.has("and") && !soft && len(l.keys) == 1:
			cut(i, false)
		}
	}
	cut(len(ls), false)
	return out
}

// unscored: about the body, and no number yet.
func unscored(ls []lexeme) bool {
	body := false
	for _, l := range ls {
		if l.kind == lexNumber || l.exercise() {
			return false
		}
		body = body || bodyWord(l)
	}
	return body
}

// scored: about the body, and with its number.
func scored(ls []lexeme) bool {
	body, num := false, false
	for _, l := range ls {
		body = body || bodyWord(l)
		num = num || l.kind == lexNumber
	}
	return body && num
}

// bodyNext: a place or how it feels comes next.
func bodyNext(ls []lexeme) bool {
	for _, l := range ls {
		switch {
		case bodyWord(l):
			return true
		case !l.filler() && !l.has("side left") && !l.has("side right") && !l.has("side both"):
			return false
		}
	}
	return false
}

func measured(l lexeme) bool {
	return l.number() || l.has("kg") || l.has("lb") || l.has("pound") || l.has("rep") || l.has("eachhand") || l.has("bodyweight")
}

// bodyWord: the lexeme is about how the body feels.
func bodyWord(l lexeme) bool {
	return (isRegion(l) || l.has("pain") || l.has("sore")) && !l.exercise()
}

// parts splits a clause where it changes from sets to the body or back, and
// takes "calf raise" for an exercise rather than a calf.
func parts(c []lexeme) [][]lexeme {
	c = slices.Clone(c)
	for i := range c {
		if !isRegion(c[i]) && !c[i].exercise() {
			continue
		}
		for _, d := range []int{1, -1, 2, -2} {
			j := i + d
			if j < 0 || j >= len(c) || !c[j].has("exword") {
				continue
			}
			if d == 2 && !c[i+1].filler() || d == -2 && !c[i-1].filler() {
				continue
			}
			if isRegion(c[i]) {
				c[i].keys = []string{"exercise"}
			}
			break
		}
	}
	regions, nums := 0, 0
	lead := false
	for i, l := range c {
		if isRegion(l) {
			regions++
		}
		if l.kind == lexNumber {
			nums++
			lead = lead || i == 0
		}
	}
	var out [][]lexeme
	start, mode, seen := 0, "", 0 // seen: numbers in this part
	cut := func(i int) {
		if i > start {
			out = append(out, c[start:i])
		}
		start, seen = i, 0
	}
	for i, l := range c {
		switch {
		case bodyWord(l):
			if mode == "sets" || mode == "" && seen > 0 && !(lead && (nums == regions || nums == 1)) {
				j := i
				for j > start && (c[j-1].has("side left") && !c[j-1].has("rirafter") || c[j-1].has("side right") || c[j-1].has("side both") || c[j-1].has("not") || c[j-1].filler()) {
					j--
				}
				cut(j)
			}
			mode = "body"
		case l.exercise(), l.has("rir"), l.has("rpe"), l.has("minutes") && mode != "body", l.has("set"), l.has("session"), l.has("fail"):
			if mode == "body" && i > start {
				cut(i)
			}
			mode = "sets"
		case l.symbol("x"), l.has("minutes"), l.has("kg"), l.has("lb"), l.has("pound"):
			if mode == "body" && i > start+1 && c[i-1].kind == lexNumber {
				cut(i - 1)
				seen = 1
			}
			mode = "sets"
		case l.kind == lexNumber:
			seen++
		}
	}
	cut(len(c))
	return out
}

// clause reads one part.
func (r *reader) clause(ls []lexeme) {
	body, sets, digits := false, false, 0
	for i, l := range ls {
		body = body || bodyWord(l)
		if l.kind == lexNumber {
			digits++
		}
		sets = sets || l.exercise() || l.kind == lexNumber || l.has("bodyweight") || l.has("rir") || l.has("rpe") || l.has("fail") || l.has("missed") ||
			l.num.word && i+1 < len(ls) && (ls[i+1].has("rirafter") || ls[i+1].has("rir") || ls[i+1].has("set") || ls[i+1].has("minutes"))
	}
	switch {
	case body:
		if r.plain(ls, true) {
			return
		}
		signOnly := true
		for _, l := range ls {
			signOnly = signOnly && (l.sign || l.filler() || l.kind == lexSymbol || l.kind == lexUnknown || l.kind == lexEmoji)
		}
		felt := false
		for _, l := range ls {
			felt = felt || (l.has("pain") || l.has("sore")) && !l.sign || l.kind == lexNumber
		}
		named := slices.ContainsFunc(ls, func(l lexeme) bool { return l.sign })
		if named && !felt {
			return // "calf swollen": the sign says it all
		}
		if signOnly && digits == 0 {
			return
		}
		r.body(ls)
		return
	case sets:
		r.leading = ""
		r.setClause(ls)
	default:
		r.plain(ls, false)
	}
}

// plainFlags are the statements of a clause without numbers or places.
var plainFlags = []string{"done", "cant", "later", "partly", "yes", "no", "help", "away", "thanks", "all", "fine", "except"}

// plain notes what a clause without numbers says. Within a body clause only
// reasons and refusals are looked for; it reports whether that was all.
func (r *reader) plain(ls []lexeme, body bool) bool {
	negated := -4
	placed := false
	n := 0
	for i, l := range ls {
		if l.kind == lexUnknown && !l.sign && !body {
			r.odd++
			r.ignore(l)
		}
		if l.sign {
			if a, ok := l.arg("reason"); !ok || a != string(prescribe.AbsentIll) {
				continue
			}
		}
		placed = placed || isRegion(l) || l.kind == lexNumber
		if l.has("not") && !(l.has("no") && len(ls) == 1) {
			negated = i
		}
		for _, f := range plainFlags {
			if !l.has(f) || body && f != "cant" && f != "away" && f != "done" {
				continue
			}
			n++
			if f == "done" && i-negated <= 3 && negated >= 0 && negated < i {
				f = "cant"
			}
			if f == "cant" && !body && slices.ContainsFunc(ls, func(o lexeme) bool { return o.has("set") || o.has("rep") || o.has("last") }) {
				f = "partly" // "skipped the last set"
			}
			if f == "yes" && negated >= 0 && negated < i {
				f = "negated" // "not sure"
			}
			if f == "no" && slices.ContainsFunc(ls, func(o lexeme) bool {
				return !o.has("no") && !o.has("yes") && !o.has("thanks") && o.kind != lexSymbol
			}) {
				if slices.ContainsFunc(ls, func(o lexeme) bool { return o.sign }) {
					continue // "no fever": the sign is asked about
				}
				f = "denied" // "no sé": no bare no
			}
			if f == "no" && len(ls) > 1 && slices.ContainsFunc(ls, func(o lexeme) bool { return o.has("done") || o.has("cant") }) {
				continue
			}
			if _, ok := r.flags[f]; !ok {
				r.flags[f] = l.text
			}
		}
		for _, k := range l.keys {
			if a, ok := strings.CutPrefix(k, "reason "); ok && !(negated >= 0 && negated == i-1) {
				r.flags["reason "+a] = l.text
				n++
			}
		}
	}
	if !body && negated >= 0 && n == 0 && !(len(ls) == 1) {
		r.flags["negated"] = words2(ls)
	}
	_, cant := r.flags["cant"]
	feltOnly := body && (n > 0 && !placed)
	if feltOnly && (cant || r.ctx.Open == OpenReason) {
		for _, l := range ls {
			if l.has("pain") {
				r.flags["reason pain"] = l.text
			}
			if l.has("sore") {
				r.flags["reason sore"] = l.text
			}
		}
		return true
	}
	if body && !placed && r.ctx.Open == OpenReason {
		for _, l := range ls {
			if l.has("pain") && !l.sign {
				r.flags["reason pain"] = l.text
			} else if l.has("sore") {
				r.flags["reason sore"] = l.text
			}
		}
		return true
	}
	return false
}

// conclude turns the flags of all clauses into meanings.
func (r *reader) conclude(before, asked int) {
	has := func(f string) bool { _, ok := r.flags[f]; return ok }
	var reasons []prescribe.Absence
	for _, a := range absences {
		if has("reason " + string(a)) {
			reasons = append(reasons, a)
		}
	}
	read := r.out.Meanings[before:]
	kindOf := func(k Kind) bool {
		return slices.ContainsFunc(read, func(m Meaning) bool { return m.Kind == k })
	}
	if (has("cant") || r.ctx.Open == OpenReason) && len(reasons) == 0 {
		switch {
		case kindOf(Pain):
			reasons = append(reasons, prescribe.AbsentPain)
		case kindOf(Soreness):
			reasons = append(reasons, prescribe.AbsentSore)
		}
	}
	first := func() prescribe.Absence {
		if len(reasons) == 1 {
			return reasons[0]
		}
		return ""
	}
	quiet := len(read) == 0 && len(r.out.Unclear) == asked
	notDone := Meaning{Kind: NotDone, Reason: first()}
	whichReason := func() {
		q := Question{Code: QWhichReason}
		for _, a := range reasons {
			q.Candidates = append(q.Candidates, []Meaning{{Kind: NotDone, Reason: a}})
			q.Word = strings.TrimSpace(q.Word + " " + r.flags["reason "+string(a)])
		}
		r.ask(q)
	}
	switch {
	case has("cant") && has("done"):
		r.ask(Question{Code: QConfirm, Word: r.flags["done"] + " / " + r.flags["cant"], Candidates: [][]Meaning{{{Kind: Done}}, {notDone}}})
	case has("cant") && kindOf(Sets):
		r.ask(Question{Code: QConfirm, Word: r.flags["cant"], Candidates: [][]Meaning{{notDone}}})
	case has("cant") && has("later"):
		r.ask(Question{Code: QLater, Word: r.flags["later"], Candidates: [][]Meaning{{notDone}}})
	case has("cant"):
		if len(reasons) > 1 {
			whichReason()
		} else {
			r.say(notDone)
		}
	case has("partly"):
		r.ask(Question{Code: QPartly, Word: r.flags["partly"], Candidates: [][]Meaning{{{Kind: Done}}, {notDone}}})
	case has("later"):
		q := Question{Code: QLater, Word: r.flags["later"]}
		if has("done") {
			q.Candidates = [][]Meaning{{{Kind: Done}}}
		}
		r.ask(q)
	case has("fine") && !has("done") && quiet:
		// It may be how somebody feels: after a warning sign nothing is asked of it.
		if !r.alarmed {
			r.ask(Question{Code: QConfirm, Word: r.flags["fine"], Candidates: [][]Meaning{{{Kind: Done}}}})
		}
	case has("done") || has("all") && quiet && !has("negated") && r.odd == 0:
		m := Meaning{Kind: Done}
		switch {
		case has("except") && !kindOf(Sets):
			r.ask(Question{Code: QPartly, Word: r.flags["except"]})
		case has("negated"), r.odd > 0, r.question:
			w := r.flags["done"]
			if has("negated") {
				w = r.flags["negated"]
			}
			r.ask(Question{Code: QConfirm, Word: w, Candidates: [][]Meaning{{m}}})
		default:
			r.sayDone(before)
		}
	case len(reasons) > 0 && r.ctx.Open == OpenReason:
		if len(reasons) > 1 {
			whichReason()
		} else {
			r.say(notDone)
		}
	case r.ctx.Open == OpenReason && quiet && has("no") && r.odd == 0:
		r.say(Meaning{Kind: No})
	case r.ctx.Open == OpenReason && quiet && (has("negated") || r.odd > 0):
		r.ask(Question{Code: QWhichReason, Candidates: [][]Meaning{{{Kind: NotDone, Reason: prescribe.AbsentOther}}}})
	case len(reasons) > 0 && quiet:
		q := Question{Code: QConfirm}
		for _, a := range reasons {
			q.Candidates = append(q.Candidates, []Meaning{{Kind: NotDone, Reason: a}})
			q.Word = strings.TrimSpace(q.Word + " " + r.flags["reason "+string(a)])
		}
		if has("reason travel") || has("away") {
			q.Candidates = append(q.Candidates, []Meaning{{Kind: Away}})
		}
		r.ask(q)
	case has("away"):
		if r.odd > 3 || has("negated") {
			r.ask(Question{Code: QConfirm, Word: r.flags["away"], Candidates: [][]Meaning{{{Kind: Away}}}})
		} else {
			r.say(Meaning{Kind: Away})
		}
	case has("help") && quiet:
		r.say(Meaning{Kind: Help})
	case has("yes") && has("no"):
		if quiet {
			r.ask(Question{Code: QConfirm, Word: r.flags["yes"] + " / " + r.flags["no"], Candidates: [][]Meaning{{{Kind: Yes}}, {{Kind: No}}}})
		}
	case has("denied") && quiet && !has("yes"):
		r.ask(Question{Code: QConfirm, Word: r.flags["denied"], Candidates: [][]Meaning{{{Kind: No}}}})
	case has("yes") || has("no"):
		m := Meaning{Kind: Yes}
		if has("no") {
			m.Kind = No
		}
		switch {
		case !quiet && r.ctx.Open != OpenYesNo:
		case has("negated") || r.odd > 0:
			r.ask(Question{Code: QConfirm, Word: r.flags[string(m.Kind)], Candidates: [][]Meaning{{m}}})
		default:
			r.say(m)
		}
	case has("thanks") && quiet && r.odd <= 2:
		r.say(Meaning{Kind: Thanks})
	case has("negated") && kindOf(Sets):
		r.ask(Question{Code: QConfirm, Word: r.flags["negated"]})
	}
}

// sayDone puts Done before the sets that depart from it.
func (r *reader) sayDone(before int) {
	i := before
	for i < len(r.out.Meanings) && r.out.Meanings[i].Kind != Sets {
		i++
	}
	r.out.Meanings = slices.Insert(r.out.Meanings, i, Meaning{Kind: Done})
}
