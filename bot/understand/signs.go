package understand

import (
	"slices"
	"sort"
	"strings"

	"pegcard/prescribe"
)

// combination is a sign made of words that stand near each other: every group
// is named once, in any order, within reach tokens. A hint is asked about.
type combination struct {
	sign   prescribe.Sign
	groups []string
	hint   bool
}

// reach is the longest stretch, in tokens, that a combination may span. [ours]
const reach = 8

// combinations over the groups of words that each language lists. They hold
// across languages, so that mixed text is read, too. The signs are those of
// the method's list; the wording is ours. Doubt alerts.
var combinations = []combination{
	{sign: prescribe.SignChestPain, groups: []string{"g chest", "g pain"}},
	{sign: prescribe.SignChestPain, groups: []string{"g chest", "g pressure"}},
	{sign: prescribe.SignChestPain, groups: []string{"g heart", "g pain"}},
	{sign: prescribe.SignPalpitations, groups: []string{"g heart", "g racing"}},
	{sign: prescribe.SignBreathless, groups: []string{"g breath", "g cannot"}},
	{sign: prescribe.SignHeadImpact, groups: []string{"g head", "g hit"}},
	{sign: prescribe.SignLimbWeak, groups: []string{"g limb", "g weak"}, hint: true},
	{sign: prescribe.SignLimbWeak, groups: []string{"g limb", "g numb"}, hint: true},
	{sign: prescribe.SignLimbWeak, groups: []string{"g limb", "g weak", "g sudden"}},
	{sign: prescribe.SignLimbWeak, groups: []string{"g cannot", "g move", "g limb"}},
	{sign: prescribe.SignLimbWeak, groups: []string{"g limb", "g powerless"}},
	{sign: prescribe.SignSaddle, groups: []string{"g saddle", "g numb"}},
	{sign: prescribe.SignBladderBowel, groups: []string{"g urine", "g cannot"}},
	{sign: prescribe.SignBladderBowel, groups: []string{"g bladder", "g control"}},
	{sign: prescribe.SignCalfSwollen, groups: []string{"g calf", "g swollen"}},
	{sign: prescribe.SignCalfSwollen, groups: []string{"g calf", "g warm"}, hint: true},
	{sign: prescribe.SignSwelling, groups: []string{"region", "g swollen"}},
	{sign: prescribe.SignSwelling, groups: []string{"g joint", "g huge"}},
	{sign: prescribe.SignFever, groups: []string{"hot", "g degrees"}},
	{sign: prescribe.SignCannotBear, groups: []string{"g cannot", "g walk"}},
	{sign: prescribe.SignSudden, groups: []string{"g sudden", "g pain"}},
	{sign: prescribe.SignSudden, groups: []string{"g sudden", "region"}, hint: true},
	{sign: prescribe.SignDarkUrine, groups: []string{"g urine", "g dark"}},
	{sign: prescribe.SignTesticular, groups: []string{"g testicle", "g pain"}},
	{sign: prescribe.SignTesticular, groups: []string{"g testicle", "g swollen"}},
	{sign: prescribe.SignTesticular, groups: []string{"g testicle", "g hit"}},
}

// A temperature of a body with a fever, in degrees Celsius.
const (
	feverFrom = 38.0
	feverTo   = 42.5
)

// signEmoji are asked about.
var signEmoji = map[string]prescribe.Sign{"🤒": prescribe.SignFever, "🌡": prescribe.SignFever, "🆘": prescribe.SignOther, "🚑": prescribe.SignOther, "💔": prescribe.SignChestPain}

// signsFound is the outcome of looking for warning signs.
type signsFound struct {
	warnings  []Meaning
	questions []Question
	used      []bool // tokens that belong to a sign
}

// span is one finding of a group or a phrase.
type span struct {
	from, to int
	far      bool
}

// findSigns looks for warning signs over all tokens, in all languages.
//
// A finding denied directly before it ("no chest pain") is a question, and so
// is a hint, a finding that rests on a first letter mistyped, and a combination
// that reaches over the end of a clause. Any other finding of the same sign
// turns the question into a warning. Distress is never talked down by a denial:
// a person reads it.
func findSigns(toks []token) signsFound {
	b := allBooks()
	m := newMatcher(b.signs, b.known, true)
	groups := map[string][]span{}
	type finding struct {
		span
		hint bool
	}
	found := map[prescribe.Sign][]finding{}
	out := signsFound{used: make([]bool, len(toks))}
	clause := make([]int, len(toks))
	for i := range toks {
		if i > 0 {
			clause[i] = clause[i-1]
			if t := toks[i-1]; t.kind == tokSymbol && strings.Contains(",;.!?\n()", t.text) {
				clause[i]++
			}
		}
		// "38.5 degrees", "temp 39": next to each other, or nearly.
		if n := toks[i].num; toks[i].kind == tokNumber && !n.odd && n.val >= feverFrom && n.val <= feverTo {
			groups["hot"] = append(groups["hot"], span{i, i + 1, false})
		}
		if s, ok := signEmoji[toks[i].text]; ok && toks[i].kind == tokEmoji {
			found[s] = append(found[s], finding{span{i, i + 1, false}, true})
		}
		// A slip that could be an ordinary word as well is no sign: where words
		// are equally near, all their groups are taken, since doubt alerts.
		for _, h := range m.at(toks, i) {
			ph := b.signs.phrases[h.phrase]
			for k, key := range ph.keys {
				s := span{h.from, h.to, h.far}
				if sign, ok := strings.CutPrefix(key, "sign "); ok {
					found[prescribe.Sign(sign)] = append(found[prescribe.Sign(sign)], finding{s, ph.hints[k]})
					continue
				}
				if h.dist > 0 && (key == "not" || key == "negfill") {
					continue
				}
				if strings.HasPrefix(key, "region ") || strings.HasPrefix(key, "vague ") {
					groups["region"] = append(groups["region"], s)
				}
				if key == "pain" {
					groups["g pain"] = append(groups["g pain"], s)
				}
				groups[key] = append(groups[key], s)
			}
		}
	}
	last := 0 // the last clause
	if len(toks) > 0 {
		last = clause[len(toks)-1]
	}
	// denied[i]: a "no" ends at token i, but for filling words between.
	denied, notFrom := make([]bool, len(toks)+1), make([][]span, len(toks)+1)
	for _, n := range groups["not"] {
		denied[n.to] = true
		notFrom[n.from] = append(notFrom[n.from], n)
	}
	fillers := make([][]span, len(toks)+1)
	for _, f := range groups["negfill"] {
		fillers[f.from] = append(fillers[f.from], f)
	}
	for i := range toks {
		for _, f := range fillers[i] {
			denied[f.to] = denied[f.to] || denied[i]
		}
	}
	// own: the clause has a number or a word of soreness, so a region in it is
	// spoken for.
	own, placed := make([]bool, last+1), make([][]span, last+1)
	for i, t := range toks {
		own[clause[i]] = own[clause[i]] || t.kind == tokNumber
	}
	for _, s := range groups["sore"] {
		own[clause[s.from]] = true
	}
	for _, s := range groups["region"] {
		placed[clause[s.from]] = append(placed[clause[s.from]], s)
	}
	region := func(c int, except span) bool {
		return slices.ContainsFunc(placed[c], func(s span) bool { return s.to <= except.from || s.from >= except.to })
	}
	exStart, exEnd := make([]bool, len(toks)+1), make([]bool, len(toks)+1)
	for _, e := range groups["exword"] {
		exStart[e.from], exEnd[e.to] = true, true
	}
	for _, c := range combinations {
		var pick func(g int, chosen []span)
		pick = func(g int, chosen []span) {
			if g < len(c.groups) {
				for _, s := range near(groups[c.groups[g]], chosen) {
					ok := true
					for _, o := range chosen {
						if s.from < o.to && o.from < s.to || max(s.to, o.to)-min(s.from, o.from) > reach {
							ok = false
						}
					}
					if ok {
						pick(g+1, append(slices.Clone(chosen), s))
					}
				}
				return
			}
			f := finding{span: chosen[0], hint: c.hint}
			if c.groups[0] == "hot" && farApart(toks, chosen[0], chosen[1]) {
				f.hint = true // "temperature outside 38"
			}
			for _, s := range chosen[1:] {
				f.from, f.to, f.far = min(f.from, s.from), max(f.to, s.to), f.far || s.far
			}
			first, second := chosen[0], chosen[len(chosen)-1]
			if clause[first.from] != clause[second.from] {
				if own[clause[first.from]] && region(clause[second.from], first) || clauseApart(toks, first, second) {
					return
				}
				f.hint = true
			}
			for i := f.from; i < f.to; i++ {
				for _, n := range notFrom[i] {
					part := slices.ContainsFunc(chosen, func(s span) bool { return n.from < s.to && s.from < n.to })
					f.hint = f.hint || n.to <= f.to && !part
				}
			}
			for _, s := range chosen {
				f.hint = f.hint || exStart[s.to] || exEnd[s.from]
			}
			found[c.sign] = append(found[c.sign], f)
		}
		pick(0, nil)
	}
	hints := map[prescribe.Sign]span{}
	alarmed := make([]bool, len(toks))
	for _, sign := range signOrder {
		fs := found[sign]
		if len(fs) == 0 {
			continue
		}
		sure := false
		at := fs[0].span
		for _, f := range fs {
			for i := f.from; i < f.to; i++ {
				out.used[i] = true
			}
			if sure {
				continue
			}
			at = f.span
			sure = sign == prescribe.SignDistress && !f.hint || !f.hint && !f.far && !denied[f.from]
		}
		if !sure {
			hints[sign] = at
			continue
		}
		for i := at.from; i < at.to; i++ {
			alarmed[i] = true
		}
		w := Meaning{Kind: Warning, Sign: sign}
		if sign != prescribe.SignDistress && sign != prescribe.SignChestPain {
			w.Region = regionNear(groups, clause, at)
		}
		out.warnings = append(out.warnings, w)
	}
	for _, sign := range signOrder {
		at, ok := hints[sign]
		// What is only hinted at with words that are an alert already adds nothing.
		if !ok || !slices.Contains(alarmed[at.from:at.to], false) {
			continue
		}
		out.questions = append(out.questions, Question{
			Code: QSign, Sign: sign, Word: text(toks[at.from:at.to]),
			Candidates: [][]Meaning{{{Kind: Warning, Sign: sign}}},
		})
	}
	out.mergeCalf()
	return out
}

// farApart: words stand between the two, other than "is", "of" or a colon.
func farApart(toks []token, a, b span) bool {
	if a.from > b.from {
		a, b = b, a
	}
	for _, t := range toks[min(a.to, b.from):b.from] {
		switch t.text {
		case "of", "is", "was", "at", ":", "=", "de", "von", "ist", "war", "bei", "di", "da", "van", "op", "a":
		default:
			return true
		}
	}
	return false
}

// near are those of spans, which stand in the order of the text, that can lie
// within reach of the first one chosen.
func near(spans, chosen []span) []span {
	if len(chosen) == 0 {
		return spans
	}
	i := sort.Search(len(spans), func(i int) bool { return spans[i].from >= chosen[0].from-reach })
	j := sort.Search(len(spans), func(j int) bool { return spans[j].from > chosen[0].to+reach })
	return spans[i:j]
}

// clauseApart: a line or sentence ends between the two.
func clauseApart(toks []token, a, b span) bool {
	if a.from > b.from {
		a, b = b, a
	}
	for i := a.to; i < b.from; i++ {
		if toks[i].kind == tokSymbol && strings.Contains("\n;.", toks[i].text) {
			return true
		}
	}
	return false
}

// mergeCalf: a swollen calf is one sign, not also a swelling.
func (s *signsFound) mergeCalf() {
	calf := slices.ContainsFunc(s.warnings, func(m Meaning) bool { return m.Sign == prescribe.SignCalfSwollen })
	if calf {
		s.warnings = slices.DeleteFunc(s.warnings, func(m Meaning) bool {
			return m.Sign == prescribe.SignSwelling && (m.Region == "" || m.Region == prescribe.Calf)
		})
	}
}

// regionNear is the one region named in the clause of a sign, if there is one.
func regionNear(groups map[string][]span, clause []int, at span) prescribe.Region {
	var out prescribe.Region
	for _, r := range regions {
		for _, s := range groups["region "+string(r)] {
			if clause[s.from] == clause[at.from] {
				if out != "" && out != r {
					return ""
				}
				out = r
			}
		}
	}
	return out
}

func text(toks []token) string {
	var w []string
	for _, t := range toks {
		w = append(w, t.text)
	}
	return strings.Join(w, " ")
}
