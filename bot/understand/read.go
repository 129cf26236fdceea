package understand

import (
	"slices"
	"strings"
	"unicode/utf8"

	"pegcard/prescribe"
)

// edgeRunes is how much of either end of an overlong text is searched for
// warning signs; a message cannot be longer than 4096 characters.
const edgeRunes = 4096

// Read says what a text means. It is pure, never panics, and its work grows
// with the text up to MaxRunes.
func Read(text string, ctx Context) Reading {
	r := &reader{ctx: ctx}
	if n := utf8.RuneCountInString(text); n > MaxRunes {
		r.long(text, n)
		return r.out
	}
	toks := tokenise(normalise(text))
	signs := findSigns(toks)
	r.out.Meanings = append(r.out.Meanings, signs.warnings...)
	r.out.Unclear = append(r.out.Unclear, signs.questions...)
	if trimmed := strings.TrimSpace(text); strings.HasPrefix(trimmed, "/") && len(trimmed) > 1 && !isDigit(rune(trimmed[1])) {
		r.command(trimmed)
		return r.out
	}
	ls := withoutFever(tag(toks, signs.used, ctx))
	r.message(ls, len(signs.warnings)+len(signs.questions) > 0)
	return r.out
}

// withoutFever leaves out the temperature of a fever: it is no load and no score.
func withoutFever(ls []lexeme) []lexeme {
	return slices.DeleteFunc(ls, func(l lexeme) bool {
		return l.kind == lexNumber && l.sign && l.num.val >= feverFrom && l.num.val <= feverTo
	})
}

// long looks for warning signs only.
func (r *reader) long(text string, n int) {
	rs := []rune(strings.ToValidUTF8(text, " "))
	parts := [][]rune{rs}
	if len(rs) > 2*edgeRunes {
		parts = [][]rune{rs[:edgeRunes], rs[len(rs)-edgeRunes:]}
	}
	for _, p := range parts {
		s := findSigns(tokenise(normalise(string(p))))
		for _, m := range s.warnings {
			if !slices.ContainsFunc(r.out.Meanings, func(o Meaning) bool { return o.Sign == m.Sign }) {
				r.say(m)
			}
		}
		for _, q := range s.questions {
			r.ask(q)
		}
	}
	r.ask(Question{Code: QTooLong})
}

// command reads "/name@bot rest".
func (r *reader) command(s string) {
	name, rest, _ := strings.Cut(s[1:], " ")
	if l, more, ok := strings.Cut(name, "\n"); ok {
		name, rest = l, more+" "+rest
	}
	name, _, _ = strings.Cut(name, "@")
	name = strings.ToLower(name)
	if name == "" || len(name) > 32 || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
		r.ask(Question{Code: QCommand, Word: strings.ToValidUTF8(s, " ")})
		return
	}
	r.say(Meaning{Kind: Command, Name: name, Rest: strings.ToValidUTF8(strings.TrimSpace(rest), " ")})
}

// reader gathers a reading.
type reader struct {
	ctx Context
	out Reading
	// flags are the plain statements found so far, with the words they came from.
	flags map[string]string
	// odd counts words in plain clauses that were not understood.
	odd  int
	last int  // 1 + index in out.Meanings of the last Sets; 0 none
	uni  bool // the last Sets came from one "3x5"
	// current is the exercise named last, for "squat 100x5, then 102.5x5".
	current []int
	nest    int
	// leading is "pain" or "sore" where that word stood before the places:
	// "pain: knee 4 and hamstring 3".
	leading string
	// question: the text ends in a question mark.
	question bool
	// lost: the sets read last became a question; effort told after them
	// belongs to its candidates.
	lost bool
	// alarmed: a warning sign was named or hinted at.
	alarmed bool
	// beside: the part was cut from one about the body.
	beside bool
}

func (r *reader) say(m Meaning)  { r.out.Meanings = append(r.out.Meanings, m) }
func (r *reader) ask(q Question) { r.out.Unclear = append(r.out.Unclear, q) }

func (r *reader) ignore(l lexeme) {
	if l.kind == lexUnknown && !l.sign && !slices.Contains(r.out.Ignored, l.text) {
		r.out.Ignored = append(r.out.Ignored, l.text)
	}
}

func (r *reader) comma() bool {
	l := languages[r.ctx.Lang]
	return l != nil && l.comma
}

func (r *reader) fork() *reader {
	return &reader{ctx: r.ctx, flags: map[string]string{}, nest: r.nest + 1}
}

// message reads all lexemes of a text.
func (r *reader) message(ls []lexeme, alarmed bool) {
	r.flags, r.alarmed = map[string]string{}, alarmed
	for i, l := range ls {
		if len(l.alts) > 0 && !l.sign {
			r.whichWord(ls, i, alarmed)
			return
		}
	}
	if r.answer(ls) || r.lone(ls) {
		return
	}
	before := len(r.out.Meanings)
	asked := len(r.out.Unclear)
	for i := len(ls) - 1; i >= 0 && (ls[i].kind == lexSymbol || ls[i].kind == lexEmoji); i-- {
		r.question = r.question || ls[i].text == "?"
	}
	// Emoji beside words are ornament.
	said := slices.DeleteFunc(slices.Clone(ls), func(l lexeme) bool { return l.kind == lexEmoji })
	for _, c := range clauses(said) {
		ps := parts(c)
		for i, part := range ps {
			r.beside = i > 0 && slices.ContainsFunc(ps[i-1], bodyWord) || i+1 < len(ps) && slices.ContainsFunc(ps[i+1], bodyWord)
			r.clause(part)
		}
	}
	r.conclude(before, asked)
	if len(r.out.Meanings) == before && len(r.out.Unclear) == asked && !alarmed {
		if !r.emoji(ls) {
			r.ask(Question{Code: QUnreadable, Word: words2(ls)})
		}
	}
}

// whichWord: a slip equally near to two words is asked about, with the reading
// each of them gives.
func (r *reader) whichWord(ls []lexeme, i int, alarmed bool) {
	q := Question{Code: QWhichWord, Word: ls[i].text}
	var seen []string
	for _, keys := range ls[i].alts[:min(len(ls[i].alts), 4)] {
		one := slices.Clone(ls)
		one[i].alts = nil
		one[i].kind = lexTerm
		one[i].mean(keys, r.ctx.Items)
		sub := r.fork()
		if sub.nest > 2 {
			continue
		}
		sub.message(one, alarmed)
		if len(sub.out.Meanings) == 0 || len(sub.out.Unclear) > 0 {
			continue
		}
		if k := key(sub.out.Meanings); !slices.Contains(seen, k) {
			seen = append(seen, k)
			q.Candidates = append(q.Candidates, sub.out.Meanings)
		}
	}
	r.ask(q)
}

// answer takes a text that is nothing but a number for the answer to the open
// question.
func (r *reader) answer(ls []lexeme) bool {
	ls = dropOutOf(ls)
	var ns []number
	sep, unit := "", ""
	for _, l := range ls {
		switch {
		case l.kind == lexNumber || l.num.word:
			ns = append(ns, l.num)
		case l.symbol("-~/"), l.has("or"):
			sep = "-"
		case l.symbol(",") && len(ns) > 0:
			if sep == "" {
				sep = ","
			}
		case l.symbol("+") && r.ctx.Open == OpenLoad && len(ns) == 0:
		case l.kind == lexEmoji, l.filler(), l.symbol(".,!\n()?") && len(ns) == 1, l.symbol("!\n"):
		case l.has("kg") && r.ctx.Open == OpenLoad:
			unit = "kg"
		case l.has("lb") && r.ctx.Open == OpenLoad:
			unit = "lb"
		case l.has("pound") && r.ctx.Open == OpenLoad:
			unit = "pound"
		case l.has("rep") && r.ctx.Open == OpenReps, l.has("minutes") && r.ctx.Open == OpenMinutes:
		case l.has("rirafter") && r.ctx.Open == OpenRIR, l.has("rir") && r.ctx.Open == OpenRIR, l.has("at"):
		default:
			return false
		}
	}
	if len(ns) == 0 || len(ns) > 2 || len(ns) == 2 && sep == "" {
		return false
	}
	if r.ctx.Open == OpenNone || r.ctx.Open == OpenReason || r.ctx.Open == OpenRegion || r.ctx.Open == OpenYesNo {
		return false
	}
	word := words2(ls)
	if len(ns) == 2 {
		q := Question{Code: QRange, Word: word}
		if sep == "," {
			q.Code = QWhichNumber
		}
		for _, n := range ns {
			if m, code := r.single(n, unit); code == "" {
				q.Candidates = append(q.Candidates, []Meaning{m})
			}
		}
		r.ask(q)
		return true
	}
	m, code := r.single(ns[0], unit)
	if code == "" {
		r.say(m)
		return true
	}
	q := Question{Code: code, Word: word}
	switch code {
	case QFraction:
		for _, v := range []float64{float64(int(ns[0].val)), float64(int(ns[0].val)) + 1} {
			if m, c := r.single(number{val: v, whole: true}, unit); c == "" {
				q.Candidates = append(q.Candidates, []Meaning{m})
			}
		}
	case QUnitPound:
		for _, f := range []float64{0.5, prescribe.KgPerLb} {
			v := prescribe.Kg(ns[0].val * f)
			q.Candidates = append(q.Candidates, []Meaning{{Kind: Load, Load: &v}})
		}
	}
	r.ask(q)
	return true
}

// lone is a text that is one number, with nothing asked: effort, soreness, pain
// or repetitions.
func (r *reader) lone(ls []lexeme) bool {
	if r.ctx.Open != OpenNone || r.nest > 0 {
		return false
	}
	var n *number
	for _, l := range ls {
		switch {
		case l.kind == lexNumber && n == nil:
			n = &l.num
		case l.symbol(".!\n"), l.filler():
		default:
			return false
		}
	}
	if n == nil {
		return false
	}
	s, code := score(*n)
	if code != "" {
		return false
	}
	v := int(*s)
	q := Question{Code: QNumberAlone, Word: words2(ls), Candidates: [][]Meaning{
		{{Kind: RPE, N: v}}, {{Kind: Soreness, Score: s}}, {{Kind: Pain, Score: s}}}}
	if v > 0 && len(r.ctx.Items) > 0 {
		m := Meaning{Kind: Sets, Sets: []SetRead{{Reps: v}}}
		if len(r.ctx.Items) == 1 {
			m.Exercise = r.ctx.Items[0].Exercise
		} else {
			m.Which = likely(r.ctx.Items, m.Sets)
		}
		q.Candidates = append(q.Candidates, []Meaning{m})
	}
	r.ask(q)
	return true
}

// single is one number as the answer to the open question.
func (r *reader) single(n number, unit string) (Meaning, Code) {
	if n.odd {
		return Meaning{}, QNumberForm
	}
	v := int(n.val)
	fraction := float64(v) != n.val
	upTo := func(k Kind, most int) (Meaning, Code) {
		switch {
		case n.val > float64(most):
			return Meaning{}, QOutOfRange
		case fraction:
			return Meaning{}, QFraction
		}
		return Meaning{Kind: k, N: v}, ""
	}
	switch r.ctx.Open {
	case OpenRIR:
		return upTo(RIR, 10)
	case OpenRPE:
		return upTo(RPE, 10)
	case OpenPain, OpenSoreness:
		return upTo(Score, 10)
	case OpenMinutes:
		if n.val < 1 {
			return Meaning{}, QOutOfRange
		}
		return upTo(Minutes, maxMinutes)
	case OpenReps:
		return upTo(Reps, maxReps)
	}
	if unit == "" && len(r.ctx.Items) == 1 {
		unit = r.ctx.Items[0].Unit
	}
	if unit == "" {
		unit = r.ctx.Unit
	}
	kg := prescribe.Kg(n.val)
	switch unit {
	case "lb":
		kg *= prescribe.KgPerLb
	case "pound":
		return Meaning{}, QUnitPound
	}
	if kg > maxKg {
		return Meaning{}, QOutOfRange
	}
	return Meaning{Kind: Load, Load: &kg}, ""
}

// maxMinutes is the longest session that is believed. [ours]
const maxMinutes = 300

// plainEmoji are the emoji with one meaning for everybody; the others are asked
// about when nothing else was said.
var plainEmoji = map[string]Kind{"👍": Done, "💪": Done, "✅": Done, "☑": Done, "✔": Done, "👌": Done}

// emoji reads a text that is nothing but emoji and signs.
func (r *reader) emoji(ls []lexeme) bool {
	kind, other := Kind(""), ""
	for _, l := range ls {
		switch {
		case l.kind == lexEmoji:
			if k, ok := plainEmoji[l.text]; ok {
				kind = k
			} else {
				other = l.text
			}
		case l.kind == lexSymbol && l.text == "?":
			r.say(Meaning{Kind: Help})
			return true
		case l.kind == lexSymbol, l.filler():
		default:
			return false
		}
	}
	switch {
	case kind == "" && other == "":
		return false
	case kind != "" && other == "":
		if r.ctx.Open == OpenYesNo {
			kind = Yes
		}
		r.say(Meaning{Kind: kind})
		return true
	case kind != "":
		r.ask(Question{Code: QConfirm, Word: words2(ls), Candidates: [][]Meaning{{{Kind: Done}}}})
		return true
	}
	r.ask(Question{Code: QEmoji, Word: other, Candidates: emojiCandidates[other]})
	return true
}

var emojiCandidates = map[string][][]Meaning{
	"👎": {{{Kind: NotDone}}, {{Kind: No}}},
	"❌": {{{Kind: NotDone}}, {{Kind: No}}},
	"🤕": {{{Kind: Pain}}},
	"😖": {{{Kind: Pain}}, {{Kind: Soreness}}},
	"😣": {{{Kind: Pain}}, {{Kind: Soreness}}},
	"😫": {{{Kind: Soreness}}, {{Kind: Done}}},
	"😩": {{{Kind: Soreness}}, {{Kind: Done}}},
	"🥵": {{{Kind: Done}}},
	"💯": {{{Kind: Done}}},
	"✈": {{{Kind: NotDone, Reason: prescribe.AbsentTravel}}, {{Kind: Away}}},
	"🤢": {{{Kind: NotDone, Reason: prescribe.AbsentIll}}},
	"🤮": {{{Kind: NotDone, Reason: prescribe.AbsentIll}}},
	"😷": {{{Kind: NotDone, Reason: prescribe.AbsentIll}}},
}
