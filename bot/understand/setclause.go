package understand

import (
	"fmt"
	"slices"

	"pegcard/prescribe"
)

// setClause reads a part about what was lifted: exercise, sides, sets, effort,
// minutes.
func (r *reader) setClause(ls []lexeme) {
	ls = r.minutes(ls)
	// Two exercises in one clause part it: "squat 3x5 100 bench 3x8 60".
	if at := nextExercise(ls, r.ctx.Items); at > 0 {
		r.setClause(ls[:at])
		r.setClause(ls[at:])
		return
	}
	items, named, unknown := r.named(ls)
	var rest []lexeme
	cant, except, done, negated, all := false, false, false, false, false
	doneWord := ""
	for i, l := range ls {
		switch {
		case l.exercise() || l.has("exword"):
			continue
		case l.has("except"):
			except = true
			continue
		case l.has("cant"):
			cant = true
			continue
		case l.has("done") && !l.num.word:
			done, doneWord = true, l.text
			continue
		case l.has("all"):
			all = true
			continue
		case l.has("unsure"):
			negated = true
			continue
		case l.has("not") && !(i+1 < len(ls) && (ls[i+1].has("rirafter") || ls[i+1].has("rep"))):
			negated = true
			continue
		case l.has("later"), l.has("partly"), l.has("help"), l.has("away"), l.has("thanks"):
			for _, f := range plainFlags {
				if l.has(f) {
					r.flags[f] = l.text
				}
			}
			continue
		}
		if a, ok := l.arg("reason"); ok && !l.has("rep") && !l.has("set") {
			r.flags["reason "+a] = l.text
			continue
		}
		rest = append(rest, l)
	}
	rest, eff := r.effort(rest)
	if unknown != "" {
		r.ask(r.offCard(ls, rest, eff))
		r.last, r.lost = 0, true
		return
	}
	if !named && len(r.current) > 0 {
		items = r.current
	}
	if named {
		// A name behind its numbers says nothing about the numbers that follow.
		r.current = items
		for _, l := range ls {
			if l.kind == lexNumber {
				r.current = nil
			}
			if l.kind == lexNumber || l.exercise() {
				break
			}
		}
	}
	nums := slices.ContainsFunc(rest, func(l lexeme) bool { return l.number() || l.has("bodyweight") })
	switch {
	case (cant || except) && !nums && named && !eff.any():
		if len(items) == 1 {
			r.say(Meaning{Kind: Sets, Exercise: r.ctx.Items[items[0]].Exercise})
		} else {
			r.say(Meaning{Kind: Sets, Which: r.ids(items)})
		}
		return
	case !nums && named && !eff.any():
		r.namedOnly(ls, items, done, negated)
		return
	case !nums && eff.any():
		if done || all {
			r.flags["done"] = doneWord
		}
		r.effortOnly(eff, items, named, words2(ls))
		return
	case !nums:
		r.plain(ls, false)
		return
	}
	if cant {
		r.flags["cant"] = words2(ls)
	}
	for _, l := range rest {
		if l.has("missed") {
			r.ask(Question{Code: QPartly, Word: words2(ls)})
			return
		}
	}
	if parts, sides := bySide(rest); len(parts) > 1 {
		if r.sharedLoad(parts, items, words2(ls)) {
			return
		}
		for i, p := range parts {
			e := eff
			if i < len(parts)-1 {
				e = effort{}
			}
			r.sets(p, e, items, sides[i], negated, ls, done || all)
		}
		return
	} else if len(parts) == 1 {
		r.sets(parts[0], eff, items, sides[0], negated, ls, done || all)
		return
	}
	r.sets(rest, eff, items, prescribe.Both, negated, ls, done || all)
}

// sharedLoad: "L 8,8,8 R 8,8,7 @20" where 20 is not what the card says: the
// load may be of both sides or of the last. It asks, and reports that it did.
func (r *reader) sharedLoad(parts [][]lexeme, items []int, word string) bool {
	if len(items) != 1 {
		return false
	}
	it := &r.ctx.Items[items[0]]
	var loads []*prescribe.Kg
	for _, p := range parts {
		sub := r.fork()
		got := (&setParser{as: sub.atoms(p), item: it, others: []Item{*it}}).parse()
		if got.bad != "" || len(got.groups) == 0 {
			return false
		}
		x := sub.resolve(got.groups, it)
		if len(x.sets) == 0 {
			return false
		}
		loads = append(loads, x.sets[0].Load)
	}
	last := loads[len(loads)-1]
	if last == nil || *last == it.Load || loads[0] != nil {
		return false
	}
	r.ask(Question{Code: QConfirm, Word: word})
	return true
}

// namedOnly: an exercise and no number: "squats done", "bench".
func (r *reader) namedOnly(ls []lexeme, items []int, done, negated bool) {
	if r.beside && !done {
		return // "squats hurt my knee": said of the knee
	}
	if len(items) != 1 {
		r.ask(Question{Code: QWhichEx, Word: words2(ls), Candidates: r.asWrittenEach(items)})
		return
	}
	if m := r.asWritten(items[0]); done && !negated {
		r.say(m)
		r.last = len(r.out.Meanings)
		r.uni = true
	} else if negated && done {
		r.say(Meaning{Kind: Sets, Exercise: m.Exercise})
	} else {
		r.ask(Question{Code: QConfirm, Word: words2(ls), Candidates: [][]Meaning{{m}, {{Kind: Sets, Exercise: m.Exercise}}}})
	}
}

// asWritten is an item done as the card has it.
func (r *reader) asWritten(i int) Meaning {
	it := r.ctx.Items[i]
	m := Meaning{Kind: Sets, Exercise: it.Exercise}
	for range min(it.Sets, maxSets) {
		m.Sets = append(m.Sets, SetRead{Reps: it.Reps})
	}
	return m
}

func (r *reader) asWrittenEach(items []int) [][]Meaning {
	var out [][]Meaning
	for _, i := range items {
		out = append(out, []Meaning{r.asWritten(i)})
	}
	return out
}

func (r *reader) ids(items []int) []prescribe.ExerciseID {
	var out []prescribe.ExerciseID
	for _, i := range items {
		out = append(out, r.ctx.Items[i].Exercise)
	}
	return out
}

// offCard asks about an exercise that is not on the card, with what was done of
// it as far as that can be read.
func (r *reader) offCard(ls, rest []lexeme, eff effort) Question {
	q := Question{Code: QNotOnCard, Word: words2(ls)}
	var id prescribe.ExerciseID
	for _, l := range ls {
		if l.off == "" {
			continue
		}
		if id != "" && id != prescribe.ExerciseID(l.off) {
			return q
		}
		id = prescribe.ExerciseID(l.off)
	}
	ex, ok := prescribe.Lookup(id)
	if !ok {
		return q
	}
	sub := r.fork()
	got := (&setParser{as: sub.atoms(rest)}).parse()
	needs := ex.LoadKind == prescribe.LoadBar || ex.LoadKind == prescribe.LoadDumbbells
	groups := got.groups
	if got.bad == QSetsOrLoad && !needs {
		// "push-up 3 x 12": three sets, not three kilograms.
		for _, alt := range got.alts {
			if !slices.ContainsFunc(alt, func(g group) bool { return g.load != nil }) {
				groups, got.bad, got.alts = alt, "", nil
				break
			}
		}
	}
	if got.bad != "" || len(got.alts) > 0 || len(got.overrides) > 0 {
		return q
	}
	x := sub.resolve(groups, nil)
	if x.code != "" || len(x.sets) == 0 || !sane(x.sets) || !eff.put(x.sets, uniform(groups)) {
		return q
	}
	for _, s := range x.sets {
		if needs && s.Load == nil {
			return q // without its load a set says nothing that can be kept
		}
	}
	q.Candidates = [][]Meaning{{{Kind: Sets, Exercise: id, Sets: x.sets}}}
	return q
}

// named is which items a part names: those that all its names fit; all items
// when it names none. unknown is a name that is not on the card.
func (r *reader) named(ls []lexeme) (items []int, named bool, unknown string) {
	for _, l := range ls {
		switch {
		case len(l.items) > 0 && !named:
			items, named = l.items, true
		case len(l.items) > 0:
			if both := meet(items, l.items); len(both) > 0 {
				items = both
			}
		}
	}
	if named {
		return items, true, ""
	}
	for _, l := range ls {
		if l.has("exercise") || l.has("exword") {
			return nil, false, l.text
		}
	}
	for i := range r.ctx.Items {
		items = append(items, i)
	}
	return items, false, ""
}

func meet(a, b []int) []int {
	var out []int
	for _, x := range a {
		if slices.Contains(b, x) {
			out = append(out, x)
		}
	}
	return out
}

// nextExercise is where a second exercise begins; 0 when there is none.
func nextExercise(ls []lexeme, all []Item) int {
	var have []int
	seen, numbers, off := false, false, false
	for i, l := range ls {
		if l.kind == lexNumber {
			numbers = true
		}
		if !l.exercise() {
			continue
		}
		if !seen {
			seen, have, off = true, l.items, len(l.items) == 0
			if numbers {
				// "3x5 100 squat 3x8 60 bench" names what went before.
				if i+1 < len(ls) {
					for j := i + 1; j < len(ls); j++ {
						if ls[j].kind == lexNumber {
							return i + 1
						}
					}
				}
			}
			numbers = false
			continue
		}
		both := meet(have, l.items)
		switch {
		case !numbers && !off && len(l.items) > 0 && len(both) > 0:
			have = both
		case len(l.items) == 0 && !numbers:
		default:
			return i
		}
	}
	return 0
}

// bySide splits at left and right: "L 3x8 20 R 3x8 22.5", "8 left 7 right".
func bySide(ls []lexeme) ([][]lexeme, []prescribe.Side) {
	var parts [][]lexeme
	var sides []prescribe.Side
	side := func(l lexeme) (prescribe.Side, bool) {
		switch {
		case l.has("side left"):
			return prescribe.Left, true
		case l.has("side right"):
			return prescribe.Right, true
		}
		return "", false
	}
	first, number := -1, -1
	for i, l := range ls {
		if _, ok := side(l); ok && first < 0 {
			first = i
		}
		if l.number() && number < 0 {
			number = i
		}
	}
	if first < 0 {
		return nil, nil
	}
	var cur []lexeme
	var curSide prescribe.Side
	have := false
	for _, l := range ls {
		s, ok := side(l)
		switch {
		case ok && first < number: // side first
			if have {
				parts, sides = append(parts, cur), append(sides, curSide)
			}
			cur, curSide, have = nil, s, true
		case ok: // side last
			parts, sides = append(parts, cur), append(sides, s)
			cur = nil
		default:
			cur = append(cur, l)
		}
	}
	if first < number {
		parts, sides = append(parts, cur), append(sides, curSide)
	} else if slices.ContainsFunc(cur, func(l lexeme) bool { return l.number() }) {
		parts[len(parts)-1] = append(parts[len(parts)-1], cur...)
	}
	return parts, sides
}

// sets reads the numbers of one exercise and side.
func (r *reader) sets(ls []lexeme, eff effort, items []int, side prescribe.Side, negated bool, whole []lexeme, done bool) {
	var it *Item
	if len(items) == 1 {
		it = &r.ctx.Items[items[0]]
	}
	var others []Item
	for _, i := range items {
		others = append(others, r.ctx.Items[i])
	}
	p := &setParser{as: r.atoms(ls), item: it, others: others}
	got := p.parse()
	word := words2(whole)
	meaning := func(ss []SetRead) Meaning {
		m := Meaning{Kind: Sets, Sets: ss, Side: side}
		if it != nil {
			m.Exercise = it.Exercise
		} else {
			m.Which = likely(others, ss)
		}
		return m
	}
	if len(eff.questions) > 0 {
		for _, q := range eff.questions {
			q.Word = word
			r.ask(q)
		}
	}
	if len(eff.rpe) > 0 {
		r.sessionRPE(eff, word)
	}
	if len(got.alts) > 0 {
		r.lost = true
		q := Question{Code: got.bad, Word: word}
		for _, gs := range got.alts {
			x := r.resolve(gs, it)
			if x.code == QNumberForm || len(x.sets) == 0 || !sane(x.sets) {
				continue
			}
			ss := x.sets
			if eff.put(ss, uniform(gs)) {
				q.Candidates = append(q.Candidates, []Meaning{meaning(ss)})
			}
		}
		r.ask(q)
		r.last = 0
		return
	}
	if got.bad != "" {
		r.lost = true
		r.ask(Question{Code: got.bad, Word: word})
		r.last = 0
		return
	}
	if len(got.overrides) > 0 {
		if done {
			r.flags["done"] = "done"
		}
		r.override(got, eff, items, it, side, word)
		return
	}
	x := r.resolve(got.groups, it)
	if len(x.sets) == 0 && x.code == "" {
		// Effort without sets, or nothing that counts.
		r.ask(Question{Code: QNumbers, Word: word})
		return
	}
	asItem := slices.ContainsFunc(got.groups, func(g group) bool { return g.asItem })
	if !eff.put(x.sets, uniform(got.groups)) {
		x.code, x.alts = QNumbers, nil
	}
	switch {
	case x.code != "":
		r.lost = true
		q := Question{Code: x.code, Word: word}
		if x.code != QOutOfRange && x.code != QNumbers {
			for _, ss := range x.alts {
				if !sane(ss) {
					continue
				}
				eff.put(ss, uniform(got.groups))
				q.Candidates = append(q.Candidates, []Meaning{meaning(ss)})
			}
		}
		r.ask(q)
		r.last = 0
	case negated, asItem && !done, r.question:
		r.ask(Question{Code: QConfirm, Word: word, Candidates: [][]Meaning{{meaning(x.sets)}}})
		r.last = 0
	case r.manyOdd(ls):
		r.ask(Question{Code: QConfirm, Word: word, Candidates: [][]Meaning{{meaning(x.sets)}}})
		r.last = 0
	default:
		m := meaning(x.sets)
		if r.joinLast(m) {
			return
		}
		r.say(m)
		r.last, r.lost = len(r.out.Meanings), false
		r.uni = uniform(got.groups)
	}
}

// joinLast adds sets to those of the same exercise and side that came before
// in the text: "squat 100x5, then 102.5x5".
func (r *reader) joinLast(m Meaning) bool {
	if r.last == 0 || len(r.current) == 0 && len(r.ctx.Items) != 1 {
		return false
	}
	l := &r.out.Meanings[r.last-1]
	if l.Exercise == "" || l.Exercise != m.Exercise || l.Side != m.Side || len(l.Sets)+len(m.Sets) > maxSets {
		return false
	}
	l.Sets = append(l.Sets, m.Sets...)
	r.uni = false
	return true
}

// manyOdd: more words that were not understood than were.
func (r *reader) manyOdd(ls []lexeme) bool {
	odd, even := 0, 0
	for _, l := range ls {
		if l.kind == lexUnknown {
			odd++
		} else if l.kind != lexSymbol && l.kind != lexEmoji {
			even++
		}
	}
	return odd > even
}

func uniform(gs []group) bool {
	for i, g := range gs {
		if !g.uniform && !g.asItem || i > 0 && g.load != gs[0].load {
			return false
		}
	}
	return len(gs) > 0
}

// override applies "last set 4" to the sets read before it, or to the card.
func (r *reader) override(got setParse, eff effort, items []int, it *Item, side prescribe.Side, word string) {
	apply := func(ss []SetRead, it *Item) ([]SetRead, bool) {
		ss = slices.Clone(ss)
		last := len(ss) - 1
		for _, o := range got.overrides {
			i := o.set - 1
			if o.set == 0 {
				i = len(ss) - 1
			}
			if i < 0 || i > len(ss) || i >= maxSets || o.reps > maxReps {
				return nil, false
			}
			if i == len(ss) {
				ss = append(ss, SetRead{})
			}
			ss[i].Reps, ss[i].RIR = o.reps, nil
			if o.load != nil {
				x := r.resolve([]group{{load: o.load, reps: o.reps}}, it)
				if x.code != "" {
					return nil, false
				}
				ss[i].Load = x.sets[0].Load
			}
			last = i
		}
		if len(eff.rir) == 1 && last >= 0 && last < len(ss) {
			v := eff.rir[0]
			ss[last].RIR = &v
		} else if eff.fail && last >= 0 && last < len(ss) {
			v := prescribe.RIR(0)
			ss[last].RIR = &v
		}
		return ss, true
	}
	if len(got.groups) > 0 {
		x := r.resolve(got.groups, it)
		ss, ok := apply(x.sets, it)
		if x.code != "" || !ok || it == nil {
			r.ask(Question{Code: QNumbers, Word: word})
			return
		}
		r.say(Meaning{Kind: Sets, Exercise: it.Exercise, Side: side, Sets: ss})
		r.last = len(r.out.Meanings)
		r.uni = false
		return
	}
	if r.last > 0 {
		m := &r.out.Meanings[r.last-1]
		if it == nil || m.Exercise == it.Exercise {
			if ss, ok := apply(m.Sets, it); ok {
				m.Sets = ss
				r.uni = false
				return
			}
			r.ask(Question{Code: QNumbers, Word: word})
			return
		}
	}
	_, done := r.flags["done"]
	if !done {
		_, done = r.flags["all"]
	}
	// Every set told one by one is a full account.
	full := it != nil && len(got.overrides) >= it.Sets
	for i, o := range got.overrides {
		full = full && o.set == i+1
	}
	if it != nil && (done || full) {
		if ss, ok := apply(r.asWritten(items[0]).Sets, it); ok {
			r.say(Meaning{Kind: Sets, Exercise: it.Exercise, Side: side, Sets: ss})
			r.last = len(r.out.Meanings)
			r.uni = false
			return
		}
		r.ask(Question{Code: QNumbers, Word: word})
		return
	}
	q := Question{Code: QWhichEx, Word: word}
	if it != nil {
		q.Code = QConfirm
	}
	for _, i := range items {
		m := r.asWritten(i)
		if ss, ok := apply(m.Sets, &r.ctx.Items[i]); ok {
			m.Sets, m.Side = ss, side
			q.Candidates = append(q.Candidates, []Meaning{m})
		}
	}
	r.ask(q)
}

// minutes takes "50 min", "1 h", "1h 15" out of a part.
func (r *reader) minutes(ls []lexeme) []lexeme {
	var out []lexeme
	for i := 0; i < len(ls); i++ {
		l := ls[i]
		if !l.number() || i+1 >= len(ls) || !(ls[i+1].has("minutes") || ls[i+1].has("hour")) {
			out = append(out, l)
			continue
		}
		rest := i > 0 && ls[i-1].has("rest") || i+2 < len(ls) && ls[i+2].has("rest")
		v := l.num.val
		used := 1
		if ls[i+1].has("hour") {
			v *= 60
			if i+2 < len(ls) && ls[i+2].kind == lexNumber && !(i+3 < len(ls) && (ls[i+3].symbol("x") || ls[i+3].has("kg"))) {
				v += ls[i+2].num.val
				used = 2
				if i+3 < len(ls) && ls[i+3].has("minutes") {
					used = 3
				}
			}
		}
		switch {
		case rest:
		case l.num.odd || v > maxMinutes || v < 1:
			r.ask(Question{Code: QOutOfRange, Word: words2(ls[i : i+used+1])})
		case v != float64(int(v)):
			r.ask(Question{Code: QFraction, Word: words2(ls[i : i+used+1]), Candidates: [][]Meaning{{{Kind: Minutes, N: int(v)}}}})
		default:
			r.say(Meaning{Kind: Minutes, N: int(v)})
		}
		i += used
	}
	return out
}

// key is a meaning list as text, to tell equal readings.
func key(ms []Meaning) string {
	s := ""
	for _, m := range ms {
		s += Show(m) + ";"
	}
	return s
}

// Show writes a meaning in one short line, for tests and logs of no person.
func Show(m Meaning) string {
	out := string(m.Kind)
	part := func(f string, a ...any) { out += " " + fmt.Sprintf(f, a...) }
	switch m.Kind {
	case NotDone:
		if m.Reason != "" {
			part("%s", m.Reason)
		}
	case Sets:
		if m.Exercise != "" {
			part("%s", m.Exercise)
		} else {
			part("?%v", m.Which)
		}
		if m.Side != "" {
			part("%s", m.Side)
		}
		if len(m.Sets) == 0 {
			part("none")
		}
		for _, s := range m.Sets {
			t := fmt.Sprint(s.Reps)
			if s.Load != nil {
				t += fmt.Sprintf("@%.5g", float64(*s.Load))
			}
			if s.RIR != nil {
				t += fmt.Sprintf("r%d", *s.RIR)
			}
			part("%s", t)
		}
	case Soreness, Pain, Place:
		if m.Region == "" {
			part("?")
		} else {
			part("%s", m.Region)
		}
		if m.Side != "" {
			part("%s", m.Side)
		}
		if m.Kind == Place {
			break
		}
		if m.Score == nil {
			part("?")
		} else {
			part("%d", *m.Score)
		}
	case Warning:
		part("%s", m.Sign)
		if m.Region != "" {
			part("(%s)", m.Region)
		}
	case Score, RIR, RPE, Minutes, Reps:
		part("%d", m.N)
	case Load:
		part("%.5g", float64(*m.Load))
	case Command:
		part("%s", m.Name)
		if m.Rest != "" {
			part("%q", m.Rest)
		}
	}
	return out
}
