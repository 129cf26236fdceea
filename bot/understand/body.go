package understand

import (
	"math"
	"strings"

	"pegcard/prescribe"
)

// place is one mention of a region in a clause about the body.
type place struct {
	region prescribe.Region
	vague  []prescribe.Region
	side   prescribe.Side
	sore   bool
	pain   bool
	denied bool
	nums   []number
	words  []string
}

func (p place) named() bool { return p.region != "" || len(p.vague) > 0 }

// body reads a clause about soreness and pain: "left hamstring 6, knee pain 4".
func (r *reader) body(ls []lexeme) {
	// A score out of ten says its ten.
	ls = dropOutOf(ls)
	nums, regions, first := 0, 0, ""
	for _, l := range ls {
		switch {
		case l.kind == lexNumber:
			nums++
			if first == "" {
				first = "number"
			}
		case isRegion(l):
			regions++
			if first == "" {
				first = "region"
			}
		}
	}
	numberFirst := first == "number" && nums == regions
	if len(ls) > 0 {
		for i := 0; i+2 < len(ls); i++ {
			if ls[i].kind == lexNumber && (ls[i+1].symbol("-~") || ls[i+1].has("or")) && ls[i+2].kind == lexNumber {
				r.rangeOf(ls, i)
				return
			}
		}
	}
	var ps []place
	cur := place{}
	flush := func() {
		if cur.named() || cur.sore || cur.pain || len(cur.nums) > 0 {
			ps = append(ps, cur)
		}
		cur = place{}
	}
	for i, l := range ls {
		switch {
		case l.number() && (l.kind == lexNumber || cur.named() && len(cur.nums) == 0):
			if numberFirst && (cur.named() || len(cur.nums) > 0) {
				flush()
			}
			cur.nums = append(cur.nums, l.num)
		case isRegion(l):
			if cur.named() || !numberFirst && len(cur.nums) > 0 && regions > 1 {
				flush()
			}
			// "Knieschmerzen" is a place and how it feels in one word.
			cur.pain, cur.sore = cur.pain || l.has("pain"), cur.sore || l.has("sore")
			if a, ok := l.arg("region"); ok {
				cur.region = prescribe.Region(a)
			} else {
				a, _ := l.arg("vague")
				for _, f := range strings.Fields(a) {
					cur.vague = append(cur.vague, prescribe.Region(f))
				}
			}
		case l.has("pain") || l.has("sore"):
			if !numberFirst && cur.named() && len(cur.nums) > 0 {
				// "hamstring sore 3 pain 5" goes on about the same place.
				if i+1 < len(ls) && ls[i+1].kind == lexNumber {
					reg, vag, side := cur.region, cur.vague, cur.side
					flush()
					cur.region, cur.vague, cur.side = reg, vag, side
				} else if i+1 < len(ls) {
					flush()
				}
			}
			if len(ps) == 0 && !cur.named() {
				r.leading = "sore"
				if l.has("pain") {
					r.leading = "pain"
				}
			}
			cur.pain = cur.pain || l.has("pain")
			cur.sore = cur.sore || l.has("sore")
		case l.has("side left") || l.has("side right") || l.has("side both"):
			if !numberFirst && cur.named() && regions > 1 && (len(cur.nums) > 0 || i+1 < len(ls) && isRegion(ls[i+1])) {
				flush()
			}
			switch {
			case l.has("side left"):
				cur.side = prescribe.Left
			case l.has("side right"):
				cur.side = prescribe.Right
			}
		case l.has("not"):
			cur.denied = true
		case l.kind == lexUnknown:
			r.ignore(l)
		}
		if l.kind != lexSymbol {
			cur.words = append(cur.words, l.text)
		}
	}
	flush()
	leading, felt := r.leading, len(ps) > 0 && (ps[0].pain || ps[0].sore)

	// "left hamstring and right calf 5": one number after several places.
	if len(ps) > 1 && regions > 1 && nums == 1 && len(ps[len(ps)-1].nums) == 1 {
		last := ps[len(ps)-1]
		var all, one []Meaning
		ok := true
		for _, p := range ps {
			p.pain, p.sore = p.pain || last.pain || leading == "pain", p.sore || last.sore || leading == "sore"
			p.nums = last.nums
			m, q := r.placeMeaning(p)
			ok = ok && q == nil && m != nil
			if m != nil {
				all = append(all, *m)
			}
		}
		if m, q := r.placeMeaning(last); m != nil && q == nil {
			one = append(one, *m)
		}
		if ok && len(one) > 0 {
			r.ask(Question{Code: QConfirm, Word: words2(ls), Candidates: [][]Meaning{all, one}})
			return
		}
	}
	for i, p := range ps {
		inherited := false
		if (i > 0 || !felt) && !p.pain && !p.sore && leading != "" && p.named() {
			p.pain, p.sore = leading == "pain", leading == "sore"
			inherited = len(p.nums) > 0 && leading == "pain" && (muscular[p.region] || mixed[p.region])
		}
		m, q := r.placeMeaning(p)
		if inherited && m != nil && q == nil {
			s := *m
			s.Kind = Soreness
			q, m = &Question{Code: QSoreOrPain, Word: strings.Join(p.words, " "), Candidates: [][]Meaning{{*m}, {s}}}, nil
		}
		if q != nil {
			r.ask(*q)
		} else if m != nil {
			r.say(*m)
		}
	}
}

func isRegion(l lexeme) bool {
	_, a := l.arg("region")
	_, b := l.arg("vague")
	return (a || b) && !l.exercise()
}

// highScore is the number from which a muscle alone with a number is no longer
// taken for soreness: it may be an injury.
const highScore = 7

// placeMeaning is what one mention says; both nil when it is about chest pain,
// which is a warning sign and not a place with a score.
func (r *reader) placeMeaning(p place) (*Meaning, *Question) {
	word := strings.Join(p.words, " ")
	m := Meaning{Kind: Soreness, Region: p.region, Side: p.side}
	if len(p.nums) > 1 {
		q := Question{Code: QWhichNumber, Word: word}
		for _, n := range p.nums {
			one := p
			one.nums = []number{n}
			if m, oq := r.placeMeaning(one); m != nil && oq == nil {
				q.Candidates = append(q.Candidates, []Meaning{*m})
			}
		}
		return nil, &q
	}
	if len(p.nums) == 1 {
		n := p.nums[0]
		s, code := score(n)
		switch code {
		case "":
			m.Score = s
		case QFraction:
			q := Question{Code: QFraction, Word: word}
			for _, v := range []float64{math.Floor(n.val), math.Ceil(n.val)} {
				one := p
				one.nums = []number{{val: v, whole: true}}
				if m, oq := r.placeMeaning(one); m != nil && oq == nil {
					q.Candidates = append(q.Candidates, []Meaning{*m})
				}
			}
			return nil, &q
		default:
			return nil, &Question{Code: code, Word: word}
		}
	}
	if p.pain {
		m.Kind = Pain
	}
	if len(p.vague) > 0 {
		q := Question{Code: QWhichRegion, Word: word}
		for _, reg := range p.vague {
			one := p
			one.region, one.vague = reg, nil
			if om, oq := r.placeMeaning(one); om != nil && oq == nil {
				q.Candidates = append(q.Candidates, []Meaning{*om})
			} else if oq != nil && oq.Code == QSoreOrPain || oq != nil && oq.Code == QRegionAlone {
				q.Candidates = append(q.Candidates, oq.Candidates...)
			}
		}
		return nil, &q
	}
	if p.denied {
		if m.Score == nil {
			zero := prescribe.Score(0)
			m.Score = &zero
		}
		if a := r.openScore(m); a.Kind == Score {
			return a, nil // "no pain" to the question how much
		}
		return nil, &Question{Code: QConfirm, Word: word, Candidates: [][]Meaning{{m}}}
	}
	joint := p.region != "" && !muscular[p.region] && !mixed[p.region]
	switch {
	case p.region == "" && (p.pain || p.sore):
		return r.openScore(m), nil
	case p.region == "":
		return nil, &Question{Code: QNumberAlone, Word: word}
	case p.region == prescribe.Chest && p.pain:
		return nil, nil
	case p.pain:
		return &m, nil
	case joint && (m.Score != nil || p.sore):
		// Joints take pain only; a stiff or sore joint is asked about as one.
		m.Kind = Pain
		return &m, nil
	case p.sore:
		return &m, nil
	case r.ctx.Open == OpenRegion && m.Score == nil:
		return &Meaning{Kind: Place, Region: p.region, Side: p.side}, nil
	}
	pain := m
	pain.Kind = Pain
	if p.region == prescribe.Chest {
		pain = Meaning{Kind: Warning, Sign: prescribe.SignChestPain}
	}
	switch {
	case m.Score == nil && joint:
		return nil, &Question{Code: QRegionAlone, Word: word, Candidates: [][]Meaning{{pain}}}
	case m.Score == nil:
		return nil, &Question{Code: QRegionAlone, Word: word, Candidates: [][]Meaning{{m}, {pain}}}
	case r.ctx.Open == OpenPain && p.region != prescribe.Chest:
		return &pain, nil
	case r.ctx.Open == OpenSoreness, muscular[p.region] && *m.Score < highScore:
		return &m, nil
	}
	return nil, &Question{Code: QSoreOrPain, Word: word, Candidates: [][]Meaning{{m}, {pain}}}
}

// openScore: with the score question open, "pain 4" is its answer.
func (r *reader) openScore(m Meaning) *Meaning {
	if m.Region == "" && m.Score != nil && (m.Kind == Pain && r.ctx.Open == OpenPain || m.Kind == Soreness && r.ctx.Open == OpenSoreness) {
		return &Meaning{Kind: Score, N: int(*m.Score)}
	}
	return &m
}

// score is a number as a 0–10 rating.
func score(n number) (*prescribe.Score, Code) {
	switch {
	case n.odd:
		return nil, QNumberForm
	case n.val < 0 || n.val > 10:
		return nil, QOutOfRange
	case n.val != math.Trunc(n.val):
		return nil, QFraction
	}
	s := prescribe.Score(n.val)
	return &s, ""
}

// dropOutOf takes the "/10" or "out of 10" after a score away.
func dropOutOf(ls []lexeme) []lexeme {
	var out []lexeme
	for i := 0; i < len(ls); i++ {
		if i > 0 && ls[i-1].number() && i+1 < len(ls) && (ls[i].symbol("/") || ls[i].has("outof")) && ls[i+1].kind == lexNumber && ls[i+1].num.val == 10 {
			i++
			continue
		}
		out = append(out, ls[i])
	}
	return out
}

// rangeOf asks about "6-7" at i: each number in its place.
func (r *reader) rangeOf(ls []lexeme, i int) {
	q := Question{Code: QRange, Word: words2(ls)}
	if r.nest > 0 {
		r.ask(q) // a range within a range: no more branches
		return
	}
	for _, keep := range []int{i, i + 2} {
		one := append(append([]lexeme{}, ls[:i]...), ls[keep])
		one = append(one, ls[i+3:]...)
		sub := r.fork()
		sub.body(one)
		if len(sub.out.Unclear) == 0 && len(sub.out.Meanings) > 0 {
			q.Candidates = append(q.Candidates, sub.out.Meanings)
		}
	}
	r.ask(q)
}

func words2(ls []lexeme) string {
	var w []string
	for _, l := range ls {
		if l.text != "\n" {
			w = append(w, l.text)
		}
	}
	return strings.Join(w, " ")
}
