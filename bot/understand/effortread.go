package understand

import (
	"math"

	"pegcard/prescribe"
)

// effort is what a part says about how hard it was.
type effort struct {
	rir       []prescribe.RIR
	rpe       []number // not turned into RIR yet: of the session or the set
	session   bool     // the RPE is said of the session
	fail      bool     // to failure: 0 in reserve in the last set
	failAt    int      // "failed on 4": 1 + the number; 0 none
	lastRep   bool     // "missed the last rep"
	questions []Question
}

func (e effort) any() bool {
	return len(e.rir) > 0 || len(e.rpe) > 0 || e.fail || e.failAt > 0 || e.lastRep || len(e.questions) > 0
}

// put writes the repetitions in reserve into sets: one figure belongs to all
// sets of one "3x5", otherwise to the last set, since effort is told of the end;
// as many figures as sets belong to them in order. It reports whether they fit.
// A figure for equal sets is true of the last and no more than the truth for
// the first, so the record errs to the light side.
func (e effort) put(ss []SetRead, uniform bool) bool {
	if len(ss) == 0 {
		return true
	}
	switch {
	case len(e.rir) == 1 && uniform:
		for i := range ss {
			v := e.rir[0]
			ss[i].RIR = &v
		}
	case len(e.rir) == 1:
		v := e.rir[0]
		ss[len(ss)-1].RIR = &v
	case len(e.rir) == len(ss):
		for i := range ss {
			v := e.rir[i]
			ss[i].RIR = &v
		}
	case len(e.rir) > 1:
		return false
	case e.fail:
		v := prescribe.RIR(0)
		ss[len(ss)-1].RIR = &v
	}
	return true
}

// effort takes the words of effort out of a part.
func (r *reader) effort(ls []lexeme) ([]lexeme, effort) {
	var e effort
	right := false
	for _, l := range ls {
		right = right || l.has("side right")
	}
	reserve := func(n number) {
		vs := []number{n}
		if n.comma && n.a <= 10 && n.b <= 10 {
			vs = []number{{val: float64(n.a), whole: true}, {val: float64(n.b), whole: true}}
		}
		for _, n := range vs {
			switch {
			case n.odd || n.val > 10:
				e.questions = append(e.questions, Question{Code: QOutOfRange})
			case n.val != math.Trunc(n.val):
				e.questions = append(e.questions, Question{Code: QFraction, Candidates: [][]Meaning{
					{{Kind: RIR, N: int(n.val)}}, {{Kind: RIR, N: int(n.val) + 1}}}})
			default:
				e.rir = append(e.rir, prescribe.RIR(n.val))
			}
		}
	}
	var out []lexeme
	for i := 0; i < len(ls); i++ {
		l := ls[i]
		next := func(j int) int { // the number after i, over filling words
			for ; j < len(ls); j++ {
				if ls[j].number() {
					return j
				}
				if !ls[j].filler() && !ls[j].symbol(":=~@") && !ls[j].has("at") && !ls[j].has("rep") && !ls[j].has("set") && !ls[j].has("last") {
					break
				}
			}
			return -1
		}
		isList := func(j int) bool { // "rir 2,1,0": a number after a separator, not a new set
			return j+1 < len(ls) && ls[j].symbol(",/") && ls[j+1].kind == lexNumber && ls[j+1].num.val <= 10 &&
				!(j+2 < len(ls) && (ls[j+2].symbol("x") || ls[j+2].has("kg") || ls[j+2].has("lb") || ls[j+2].has("minutes")))
		}
		switch {
		case l.has("rir") || l.has("rpe"):
			e.session = e.session || l.has("session")
			n := next(i + 1)
			if n < 0 && len(out) > 0 && out[len(out)-1].number() {
				// "1 rir"
				v := out[len(out)-1].num
				out = out[:len(out)-1]
				if l.has("rir") {
					reserve(v)
				} else {
					e.rpe = append(e.rpe, v)
				}
				continue
			}
			if n < 0 {
				continue
			}
			if n+2 < len(ls) && (ls[n+1].symbol("-~") || ls[n+1].has("or")) && ls[n+2].number() && ls[n].num.val <= 10 {
				q := Question{Code: QRange}
				for _, v := range []number{ls[n].num, ls[n+2].num} {
					if l.has("rir") {
						q.Candidates = append(q.Candidates, []Meaning{{Kind: RIR, N: int(v.val)}})
					} else if lo, _, ok := rirOfRPE(v.val); ok {
						q.Candidates = append(q.Candidates, []Meaning{{Kind: RIR, N: int(lo)}})
					}
				}
				e.questions = append(e.questions, q)
				i = n + 2
				continue
			}
			for {
				if l.has("rir") {
					reserve(ls[n].num)
				} else {
					e.rpe = append(e.rpe, ls[n].num)
				}
				if !isList(n + 1) {
					break
				}
				n += 2
			}
			i = n
			if i+2 < len(ls) && ls[i+1].symbol("/") && ls[i+2].num.val == 10 {
				i += 2
			}
		case l.has("session"):
			e.session = true
		case l.has("rirbefore") && next(i+1) >= 0:
			n := next(i + 1)
			reserve(ls[n].num)
			i = n
			for i+1 < len(ls) && (ls[i+1].has("rirafter") || ls[i+1].has("rep") || ls[i+1].has("rir")) {
				i++
			}
		case l.has("rirafter") && len(out) > 0 && out[len(out)-1].number() && !right && !(l.has("side left") && i+1 < len(ls) && ls[i+1].number()):
			reserve(out[len(out)-1].num)
			out = out[:len(out)-1]
			for i+1 < len(ls) && ls[i+1].has("rirafter") {
				i++
			}
		case l.has("rirafter") && len(out) > 1 && out[len(out)-1].has("rep") && out[len(out)-2].number() && !right:
			// "2 reps left"
			reserve(out[len(out)-2].num)
			out = out[:len(out)-2]
		case l.has("missed"):
			j := i + 1
			last, rep := false, false
			for j < len(ls) && (ls[j].has("last") || ls[j].has("rep") || ls[j].filler()) {
				last, rep = last || ls[j].has("last"), rep || ls[j].has("rep")
				j++
			}
			if last && rep && j == len(ls) {
				e.lastRep = true
				i = j - 1
				continue
			}
			out = append(out, l)
		case l.has("fail"):
			if n := next(i + 1); n >= 0 && ls[n].num.whole && ls[n].num.val <= maxReps && n == len(ls)-1 {
				e.failAt = 1 + int(ls[n].num.val)
				i = n
				continue
			}
			e.fail = true
		default:
			out = append(out, l)
		}
	}
	// A set RPE beside sets is effort of the sets.
	nums := false
	for _, l := range out {
		nums = nums || l.kind == lexNumber || l.has("bodyweight")
	}
	if len(e.rpe) > 0 && !e.session && !r.timed() && (nums || r.last > 0 || r.ctx.Open == OpenRIR) {
		e.fromRPE()
	}
	return out, e
}

// timed: the length of the session was told, so an RPE may be the session's.
func (r *reader) timed() bool {
	for _, m := range r.out.Meanings {
		if m.Kind == Minutes {
			return true
		}
	}
	return false
}

// fromRPE turns set RPE into repetitions in reserve.
func (e *effort) fromRPE() {
	for _, n := range e.rpe {
		v := n.val
		if n.comma && n.b != 5 && n.b != 0 {
			for _, p := range []int{n.a, n.b} {
				if lo, _, ok := rirOfRPE(float64(p)); ok {
					e.rir = append(e.rir, lo)
				} else {
					e.questions = append(e.questions, Question{Code: QOutOfRange})
				}
			}
			continue
		}
		switch lo, hi, ok := rirOfRPE(v); {
		case !ok:
			e.questions = append(e.questions, Question{Code: QOutOfRange})
		case lo != hi:
			e.questions = append(e.questions, Question{Code: QFraction, Candidates: [][]Meaning{
				{{Kind: RIR, N: int(lo)}}, {{Kind: RIR, N: int(hi)}}}})
		default:
			e.rir = append(e.rir, lo)
		}
	}
	e.rpe = nil
}

// effortOnly: a part that says how hard it was and no sets.
func (r *reader) effortOnly(e effort, items []int, named bool, word string) {
	for _, q := range e.questions {
		q.Word = word
		r.ask(q)
	}
	if len(e.rpe) > 0 {
		r.sessionRPE(e, word)
		return
	}
	if len(e.questions) > 0 && len(e.rir) == 0 && !e.fail && e.failAt == 0 && !e.lastRep {
		return
	}
	if e.failAt > 0 || e.lastRep {
		r.failed(e, items, word)
		return
	}
	if named && len(items) == 1 && len(e.rir) > 0 {
		m := r.asWritten(items[0])
		if !e.put(m.Sets, true) {
			r.ask(Question{Code: QNumbers, Word: word})
			return
		}
		_, done := r.flags["done"]
		_, all := r.flags["all"]
		if done || all {
			r.say(m)
		} else {
			r.ask(Question{Code: QConfirm, Word: word, Candidates: [][]Meaning{{m}}})
		}
		return
	}
	if r.lost && len(r.out.Unclear) > 0 {
		for _, c := range r.out.Unclear[len(r.out.Unclear)-1].Candidates {
			for _, m := range c {
				e.put(m.Sets, true)
			}
		}
		return
	}
	if r.last > 0 {
		if !e.put(r.out.Meanings[r.last-1].Sets, r.uni) {
			r.ask(Question{Code: QNumbers, Word: word})
		}
		return
	}
	switch {
	case len(e.rir) == 1:
		r.say(Meaning{Kind: RIR, N: int(e.rir[0])})
	case len(e.rir) > 1:
		r.ask(Question{Code: QNumbers, Word: word})
	case e.fail:
		r.ask(Question{Code: QConfirm, Word: word, Candidates: [][]Meaning{{{Kind: RIR, N: 0}}}})
	}
}

// sessionRPE: an RPE with no sets is of the session where that was asked or
// said, and a question otherwise.
func (r *reader) sessionRPE(e effort, word string) {
	n := e.rpe[0]
	v := int(n.val)
	switch {
	case len(e.rpe) > 1:
		r.ask(Question{Code: QNumbers, Word: word})
	case n.odd || n.val > 10:
		r.ask(Question{Code: QOutOfRange, Word: word})
	case float64(v) != n.val:
		r.ask(Question{Code: QFraction, Word: word, Candidates: [][]Meaning{{{Kind: RPE, N: v}}, {{Kind: RPE, N: v + 1}}}})
	case e.session || r.ctx.Open == OpenRPE || r.timed() && r.last == 0:
		r.say(Meaning{Kind: RPE, N: v})
	default:
		q := Question{Code: QEffortScale, Word: word, Candidates: [][]Meaning{{{Kind: RPE, N: v}}}}
		if lo, hi, ok := rirOfRPE(n.val); ok && lo == hi {
			q.Candidates = append(q.Candidates, []Meaning{{Kind: RIR, N: int(lo)}})
		}
		r.ask(q)
	}
}

// failed: "failed on 4" is 4 done, or the fourth not; "missed the last rep" is
// one fewer in the last set. Both are put as buttons, the first with nothing
// left in reserve.
func (r *reader) failed(e effort, items []int, word string) {
	q := Question{Code: QConfirm, Word: word}
	var base []Meaning
	if r.last > 0 {
		// What was read of it waits for the answer.
		base = []Meaning{r.out.Meanings[r.last-1]}
		r.out.Meanings = append(r.out.Meanings[:r.last-1:r.last-1], r.out.Meanings[r.last:]...)
		r.last = 0
	} else {
		for _, i := range items {
			base = append(base, r.asWritten(i))
		}
	}
	for _, m := range base {
		if len(m.Sets) == 0 {
			continue
		}
		last := len(m.Sets) - 1
		reps := []int{m.Sets[last].Reps - 1}
		if e.failAt > 0 {
			reps = []int{e.failAt - 1, e.failAt - 2}
		}
		for _, n := range reps {
			if n < 0 {
				continue
			}
			c := m
			c.Sets = append([]SetRead{}, m.Sets...)
			c.Sets[last].Reps = n
			c.Sets[last].RIR = nil
			if e.failAt > 0 {
				zero := prescribe.RIR(0)
				c.Sets[last].RIR = &zero
			}
			q.Candidates = append(q.Candidates, []Meaning{c})
		}
	}
	r.ask(q)
}
