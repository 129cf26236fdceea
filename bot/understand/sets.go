package understand

import (
	"math"
	"slices"
	"sort"

	"pegcard/prescribe"
)

// Limits of what is taken for a set. [ours]
const (
	maxSets = 20
	maxReps = 50
	maxKg   = 600
	// From 20 on, the first number of "100x5" is a load, never a number of sets.
	firstIsLoad = 20
)

type atomKind uint8

const (
	atNum atomKind = iota
	atUnit
	atX
	atAt
	atSep
	atBodyweight
	atEach
	atEachSide
	atTotal
	atLast
	atSet
	atRep
	atOrd
	atWritten
	atPlus
	atColon
	atSeconds
)

// atom is a lexeme as the grammar of sets sees it.
type atom struct {
	kind atomKind
	n    number
	unit string
	sep  string
}

// loadRead is a load as written: a number, its unit, what it was said of.
type loadRead struct {
	n       number
	unit    string // "", "kg", "lb", "pound"
	body    bool   // bodyweight, or bodyweight and n
	each    bool
	total   bool
	perSide bool
}

// group is what one way of reading the atoms gives.
type group struct {
	load    *loadRead
	reps    int
	uniform bool // from one "3x5"
	asItem  bool // reps and number of sets as the card has them
}

// override is "last set 4".
type override struct {
	set  int // 0: the last
	reps int
	load *loadRead
}

type setParse struct {
	groups    []group
	overrides []override
	bad       Code
	alts      [][]group // other ways; groups is then empty
}

type setParser struct {
	as     []atom
	i      int
	item   *Item // nil: not known which
	others []Item
	dash   bool // the list being read is parted by dashes
	out    setParse
}

func (p *setParser) peek(k int) *atom {
	if p.i+k < len(p.as) && p.i+k >= 0 {
		return &p.as[p.i+k]
	}
	return nil
}

func (p *setParser) is(k int, kind atomKind) bool { a := p.peek(k); return a != nil && a.kind == kind }

func (p *setParser) fail(c Code) {
	if p.out.bad == "" {
		p.out.bad = c
	}
	p.i = len(p.as)
}

// load reads "[at] [bw] [+] 100 [kg] [each hand]" at the cursor; first: the
// repetitions may follow with a times sign.
func (p *setParser) load(first bool) *loadRead {
	at := p.i
	for p.is(0, atAt) {
		p.i++
	}
	l := &loadRead{}
	if p.is(0, atBodyweight) {
		p.i++
		l.body = true
		if p.is(0, atPlus) && p.is(1, atNum) {
			p.i++
		} else {
			return l
		}
	} else if p.is(0, atPlus) && p.is(1, atNum) {
		p.i++
	}
	if !p.is(0, atNum) || p.is(1, atX) && !(first && p.i > at) {
		p.i = at
		return nil
	}
	l.n = p.peek(0).n
	p.i++
	p.afterLoad(l)
	return l
}

func (p *setParser) afterLoad(l *loadRead) {
	for {
		switch {
		case p.is(0, atUnit) && l.unit == "":
			l.unit = p.peek(0).unit
		case p.is(0, atEach):
			l.each = true
		case p.is(0, atTotal):
			l.total = true
		case p.is(0, atEachSide) && l.unit != "":
			l.perSide = true
		default:
			return
		}
		p.i++
	}
}

// parse reads all atoms.
func (p *setParser) parse() setParse {
	for p.i < len(p.as) {
		before := p.i
		switch {
		case p.is(0, atSep), p.is(0, atAt) && !p.is(1, atNum) && !p.is(1, atBodyweight) && !p.is(1, atPlus), p.is(0, atColon), p.is(0, atWritten), p.is(0, atRep), p.is(0, atEachSide):
			p.i++
		case p.is(0, atSeconds):
			p.fail(QSeconds)
		case p.is(0, atNum) && p.lastAfter() > 0:
			// "only got 4 on the last set"
			if n := p.peek(0).n; n.whole && n.val < firstIsLoad {
				p.out.overrides = append(p.out.overrides, override{reps: int(n.val)})
				p.i += p.lastAfter()
				if p.is(0, atSet) {
					p.i++
				}
			} else {
				p.fail(QNumbers)
			}
		case p.is(0, atLast), p.is(0, atOrd), p.is(0, atSet):
			p.override()
		default:
			p.group()
		}
		if p.i == before {
			p.fail(QNumbers)
		}
	}
	return p.out
}

// lastAfter is how far behind the number at the cursor the words "on the last
// set" end; 0 when they do not follow it, or when they begin "last set 4".
func (p *setParser) lastAfter() int {
	k := 1
	for p.is(k, atRep) || p.is(k, atAt) {
		k++
	}
	if !p.is(k, atLast) || p.is(k+1, atNum) || p.is(k+1, atSet) && (p.is(k+2, atNum) || p.is(k+2, atColon)) {
		return 0
	}
	return k + 1
}

// override reads "last set 4", "set 3: 4", "3rd set 4 at 95".
func (p *setParser) override() {
	o := override{}
	switch {
	case p.is(0, atLast):
		p.i++
		if p.is(0, atSet) {
			p.i++
		}
	case p.is(0, atOrd):
		o.set = int(p.peek(0).n.val)
		p.i++
		if p.is(0, atSet) {
			p.i++
		}
	case p.is(1, atNum) && p.peek(1).n.whole:
		o.set = int(p.peek(1).n.val)
		p.i += 2
		if !p.is(0, atNum) && !p.is(0, atColon) && !p.is(0, atSep) && !p.is(0, atAt) {
			p.fail(QNumbers)
			return
		}
	default:
		p.i++ // "sets" alone says nothing
		return
	}
	for p.is(0, atColon) || p.is(0, atSep) || p.is(0, atAt) {
		p.i++
	}
	if !p.is(0, atNum) {
		p.fail(QNumbers)
		return
	}
	n := p.peek(0).n
	p.i++
	if p.is(0, atX) && p.is(1, atNum) {
		o.load = &loadRead{n: n}
		n = p.peek(1).n
		p.i += 2
	} else if p.is(0, atUnit) || n.val > maxReps {
		p.fail(QNumbers)
		return
	}
	if p.is(0, atRep) {
		p.i++
	}
	if !n.whole {
		p.fail(QNumbers)
		return
	}
	o.reps = int(n.val)
	if o.load == nil && p.is(0, atAt) && p.is(1, atNum) {
		o.load = p.load(false)
	}
	p.out.overrides = append(p.out.overrides, o)
}

// listEnd: a number at k is not part of a list when it begins something new.
func (p *setParser) inList(k int) bool {
	return p.is(k, atNum) && !p.is(k+1, atX) && !p.is(k+1, atUnit) && !p.is(k+1, atSet) && !p.is(k+1, atSeconds) && !(p.is(k+1, atAt) && p.is(k+2, atNum))
}

// repList reads "5,5,4", "5 5 4", "5/5/4" from the cursor; comma numbers are
// taken apart, since repetitions are whole.
func (p *setParser) repList() ([]int, bool) {
	var out []int
	take := func(n number) bool {
		if n.odd {
			return false
		}
		if n.comma {
			out = append(out, n.a, n.b)
			return true
		}
		out = append(out, int(n.val))
		return n.whole
	}
	for p.inList(0) && (len(out) == 0 || p.peek(0).n.val < firstIsLoad) {
		if !take(p.peek(0).n) {
			return out, false
		}
		p.i++
		if p.is(0, atRep) {
			p.i++
		}
		if p.is(0, atSep) && p.inList(1) && p.peek(1).n.val < firstIsLoad {
			p.i++
		}
	}
	return out, len(out) > 0
}

func (p *setParser) add(load *loadRead, reps []int) {
	for _, n := range reps {
		p.out.groups = append(p.out.groups, group{load: load, reps: n, uniform: false})
	}
}

func (p *setParser) addUniform(load *loadRead, sets, reps int) {
	for range min(sets, maxSets) {
		p.out.groups = append(p.out.groups, group{load: load, reps: reps, uniform: true})
	}
}

// big: a number that can only be a load.
func big(n number) bool { return n.val >= firstIsLoad || !n.comma && !n.whole }

// group reads one way of writing sets.
func (p *setParser) group() {
	// Load first: "bw x 8", "+20 x 5", "100 kg x 5 5 4", "at 100: 5,5,4".
	if p.is(0, atAt) || p.is(0, atBodyweight) || p.is(0, atPlus) || p.is(0, atNum) && (p.is(1, atUnit) || p.is(1, atEach) || p.is(1, atTotal) || p.is(1, atColon) && big(p.peek(0).n)) {
		l := p.load(true)
		if l == nil {
			p.fail(QNumbers)
			return
		}
		p.afterLoadFirst(l)
		return
	}
	if !p.is(0, atNum) {
		p.fail(QNumbers)
		return
	}
	n := p.peek(0).n
	switch {
	case n.odd:
		p.fail(QNumberForm)
	case p.is(1, atSep) && p.peek(1).sep == "of" && p.is(2, atNum) && p.is(3, atSet):
		// "2 of 3 sets"
		p.i += 4
		if p.item == nil || !n.whole || n.val > maxSets {
			p.fail(QNumbers)
			return
		}
		p.either(QConfirm, p.uniform(nil, int(n.val), p.item.Reps))
	case p.is(1, atSet):
		// "3 sets of 5 [at 100]", "3 sets at 100"
		p.i += 2
		for p.is(0, atX) || p.is(0, atSep) && p.peek(0).sep == "of" {
			p.i++
		}
		if !n.whole || n.val < 1 || n.val > maxSets {
			p.fail(QNumbers)
			return
		}
		if p.is(0, atNum) && !p.is(1, atUnit) && p.peek(0).n.whole && p.peek(0).n.val <= maxReps {
			reps := int(p.peek(0).n.val)
			p.i++
			if p.is(0, atRep) {
				p.i++
			}
			p.skipEachSide()
			p.addUniform(p.trailing(), int(n.val), reps)
			return
		}
		p.fail(QNumbers)
	case p.is(1, atRep):
		// "5 reps at 100"
		p.i += 2
		p.skipEachSide()
		if !n.whole {
			p.fail(QNumbers)
			return
		}
		p.add(p.trailing(), []int{int(n.val)})
	case p.is(1, atX) && (p.is(2, atNum) || p.is(2, atBodyweight)):
		p.times()
	case p.is(1, atSeconds):
		p.fail(QSeconds)
	default:
		p.list()
	}
}

func (p *setParser) skipEachSide() {
	for p.is(0, atEachSide) {
		p.i++
	}
}

// trailing is a load after repetitions, if one stands there.
func (p *setParser) trailing() *loadRead {
	at := p.i
	if p.is(0, atWritten) {
		p.i++
		return nil
	}
	if p.is(0, atSep) && p.peek(0).sep != "/" && (p.is(1, atAt) || p.is(1, atPlus) || p.is(1, atBodyweight) || p.is(1, atNum) && !p.is(2, atX) && !p.is(2, atSep)) {
		p.i++
	}
	if l := p.load(false); l != nil {
		return l
	}
	p.i = at
	return nil
}

// afterLoadFirst reads what was done with a load that was said first.
func (p *setParser) afterLoadFirst(l *loadRead) {
	if p.is(0, atX) || p.is(0, atColon) || p.is(0, atSep) && (p.is(1, atNum) || p.is(1, atPlus)) {
		p.i++
	}
	for p.is(0, atAt) {
		p.i++
	}
	switch {
	case p.is(0, atNum) && p.is(1, atX) && p.is(2, atNum):
		a, b := p.peek(0).n, p.peek(2).n
		if big(a) {
			// "100 kg, 102.5x5": the first load stands alone.
			p.fail(QNumbers)
			return
		}
		p.i += 3
		p.crossed(l, a, b)
	case p.is(0, atNum) && p.is(1, atSet):
		sets := p.peek(0).n
		p.i += 2
		for p.is(0, atX) || p.is(0, atSep) && p.peek(0).sep == "of" {
			p.i++
		}
		if !p.is(0, atNum) || !sets.whole || !p.peek(0).n.whole || sets.val > maxSets {
			p.fail(QNumbers)
			return
		}
		reps := int(p.peek(0).n.val)
		p.i++
		if p.is(0, atRep) {
			p.i++
		}
		p.addUniform(l, int(sets.val), reps)
	case p.inList(0):
		reps, ok := p.repList()
		if !ok {
			p.fail(QNumbers)
			return
		}
		if p.is(0, atX) && p.is(1, atNum) {
			p.fail(QNumbers)
			return
		}
		p.skipEachSide()
		p.add(l, reps)
	case p.i >= len(p.as):
		// "100 kg" and nothing more: the sets as the card has them.
		p.out.groups = append(p.out.groups, group{load: l, asItem: true})
	default:
		p.fail(QNumbers)
	}
}

// crossed is a load and "3x8" after it.
func (p *setParser) crossed(l *loadRead, a, b number) {
	if !a.whole || !b.whole || a.val > maxReps || b.val > maxReps || a.val < 1 || b.val < 1 {
		p.fail(QNumbers)
		return
	}
	p.skipEachSide()
	p.addUniform(l, int(a.val), int(b.val))
}

// times reads what begins "a x b".
func (p *setParser) times() {
	a := p.peek(0).n
	if p.is(2, atBodyweight) {
		// "8 x bw"
		p.i += 2
		l := p.load(false)
		if !a.whole {
			p.fail(QNumbers)
			return
		}
		p.add(l, []int{int(a.val)})
		return
	}
	b := p.peek(2).n
	if a.odd || b.odd {
		p.fail(QNumberForm)
		return
	}
	if p.is(3, atX) && p.is(4, atNum) {
		p.threefold(a, b, p.peek(4).n)
		return
	}
	if a.comma && loadLike(a) {
		// "102,5x5"
		p.i += 2
		p.loadTimes(&loadRead{n: a})
		return
	}
	if big(a) {
		p.i += 2
		p.loadTimes(&loadRead{n: a})
		return
	}
	if p.is(3, atUnit) || p.is(3, atEach) {
		// "2x20kg 3x8": two dumbbells; "3x20kg": sets at a load
		p.i += 2
		l := p.load0()
		if p.is(0, atNum) && p.is(1, atX) && p.is(2, atNum) && a.val == 2 && p.item != nil && p.item.LoadKind == prescribe.LoadDumbbells {
			x, y := p.peek(0).n, p.peek(2).n
			p.i += 3
			p.crossed(l, x, y)
			return
		}
		if p.item == nil || !a.whole || a.val > maxSets || p.item.Reps == 0 {
			p.fail(QNumbers)
			return
		}
		g := make([]group, 0, int(a.val))
		for range int(a.val) {
			g = append(g, group{load: l, reps: p.item.Reps, uniform: true})
		}
		p.out.alts = append(p.out.alts, append(slices.Clone(p.out.groups), g...))
		p.out.bad = QConfirm
		p.i = len(p.as)
		return
	}
	p.i += 2
	reps, ok := p.repList2()
	if !ok {
		p.fail(QNumbers)
		return
	}
	p.skipEachSide()
	// A comma between repetitions and load: "3x5, 100".
	var more []number
	var l *loadRead
	written := false
	if len(reps) == 1 {
		if p.is(0, atWritten) {
			written = true
		}
		l = p.trailing()
		for l != nil && p.loadListNext() {
			if p.is(0, atSep) {
				p.i++
			}
			more = append(more, p.peek(0).n)
			p.i++
			for p.is(0, atUnit) {
				l.unit = p.peek(0).unit
				p.i++
			}
		}
	}
	sets := int(a.val)
	switch {
	case !a.whole && !a.comma, a.val < 1:
		p.fail(QNumbers)
	case len(more) > 0:
		// "3x5 100 105 110": a load for each set
		if len(more)+1 != sets {
			p.fail(QNumbers)
			return
		}
		p.add(l, reps)
		for _, n := range more {
			p.add(&loadRead{n: n, unit: l.unit, each: l.each, total: l.total}, reps)
		}
	case len(reps) > 1 && len(reps) == sets && l == nil:
		// "3x5,5,4"
		l = p.trailing()
		p.add(l, reps)
	case len(reps) > 1 && l == nil && p.item != nil && p.item.Load > 0 && math.Abs(a.val-float64(p.item.Load)) <= 0.3*float64(p.item.Load):
		// "12x8,8,7": a light load
		p.add(&loadRead{n: a}, reps)
	case len(reps) > 1:
		p.fail(QNumbers)
	case l != nil || written:
		if sets > maxSets {
			p.fail(QNumbers)
			return
		}
		p.addUniform(l, sets, reps[0])
	default:
		p.bare(a, reps[0])
	}
}

// load0 is a load at the cursor whatever comes after it.
func (p *setParser) load0() *loadRead {
	l := &loadRead{n: p.peek(0).n}
	p.i++
	p.afterLoad(l)
	return l
}

// loadListNext: another load of "3x5 100 105 110" follows.
func (p *setParser) loadListNext() bool {
	k := 0
	if p.is(0, atSep) {
		k = 1
	}
	return p.is(k, atNum) && !p.is(k+1, atX) && !p.is(k+1, atSet) && !p.is(k+1, atRep) && p.peek(k).n.val >= firstIsLoad
}

// repList2 is the repetitions after a times sign, where a further number is
// taken into the list only when it cannot be a load.
func (p *setParser) repList2() ([]int, bool) {
	start := p.i
	n := p.peek(0).n
	if !n.whole && !n.comma {
		return nil, false
	}
	if n.comma {
		return p.repList()
	}
	end := p.i + 1
	if p.is(1, atRep) {
		end++
	}
	// A list goes on over separators between small numbers: "3x5,5,4".
	k := end - p.i
	for p.is(k, atSep) && p.peek(k).sep != "of" && p.is(k+1, atNum) && !p.is(k+2, atX) && !p.is(k+2, atUnit) && !p.is(k+2, atSet) && p.peek(k+1).n.whole && p.peek(k+1).n.val < firstIsLoad {
		k += 2
	}
	if k == end-p.i {
		p.i = end
		return []int{int(n.val)}, true
	}
	var out []int
	for j := start; j < start+k; j++ {
		if p.as[j].kind == atNum {
			out = append(out, int(p.as[j].n.val))
		}
	}
	p.i = start + k
	return out, true
}

// loadTimes reads the repetitions after "100 x".
func (p *setParser) loadTimes(l *loadRead) {
	reps, ok := p.repList()
	if !ok {
		p.fail(QNumbers)
		return
	}
	if p.is(0, atUnit) && len(reps) == 1 {
		l.unit = p.peek(0).unit
		p.i++
	}
	p.afterLoad(l)
	p.skipEachSide()
	p.add(l, reps)
}

// threefold reads "3x5x100" and "100x3x5".
func (p *setParser) threefold(a, b, c number) {
	p.i += 5
	if c.odd {
		p.fail(QNumberForm)
		return
	}
	l := &loadRead{}
	p.afterLoad(l)
	switch {
	case big(a) || a.comma:
		l.n = a
		if !b.whole || !c.whole {
			p.fail(QNumbers)
			return
		}
		x, y := int(b.val), int(c.val)
		switch it := p.item; {
		case x == y, it != nil && it.Sets == x && it.Reps == y && !(it.Sets == y && it.Reps == x):
			p.addUniform(l, x, y)
		case it != nil && it.Sets == y && it.Reps == x:
			p.addUniform(l, y, x)
		default:
			p.either(QSetsOrLoad, p.uniform(l, x, y), p.uniform(l, y, x))
		}
	case (big(c) || c.comma || l.unit != "" || l.each) && a.whole && b.whole:
		l.n = c
		p.addUniform(l, int(a.val), int(b.val))
	case a.whole && b.whole && p.item != nil && p.item.Sets == int(a.val) && p.item.Reps == int(b.val):
		l.n = c
		p.addUniform(l, int(a.val), int(b.val))
	default:
		p.fail(QNumbers)
	}
}

func (p *setParser) uniform(l *loadRead, sets, reps int) []group {
	var g []group
	for range min(sets, maxSets) {
		g = append(g, group{load: l, reps: reps, uniform: true})
	}
	return g
}

func (p *setParser) either(c Code, ways ...[]group) {
	for _, w := range ways {
		p.out.alts = append(p.out.alts, append(slices.Clone(p.out.groups), w...))
	}
	p.out.bad = c
	p.i = len(p.as)
}

// bare is "a x b" with nothing else, a under 20: sets × reps at the written
// load if the card has anything like it, a light load × reps if the card's load
// is near a, and a question when both or neither fit.
func (p *setParser) bare(a number, reps int) {
	items := p.others
	if p.item != nil {
		items = []Item{*p.item}
	}
	asSets, asLoad := false, false
	for _, it := range items {
		if a.whole && int(a.val) <= it.Sets+2 && int(a.val) >= 1 && nearReps(reps, it) {
			asSets = true
		}
		if it.Load > 0 && math.Abs(a.val-float64(it.Load)) <= 0.3*float64(it.Load) && nearReps(reps, it) {
			asLoad = true
		}
	}
	sets := p.uniform(nil, int(a.val), reps)
	load := []group{{load: &loadRead{n: a}, reps: reps}}
	switch {
	case asSets && !asLoad:
		p.out.groups = append(p.out.groups, sets...)
	case asLoad && !asSets:
		p.out.groups = append(p.out.groups, load...)
	default:
		p.either(QSetsOrLoad, sets, load)
	}
}

func nearReps(n int, it Item) bool { return n <= max(2*it.Reps, it.Reps+5) || it.Reps == 0 }

// loadLike: a comma number that is a load as a decimal: quarters and halves.
func loadLike(n number) bool {
	return n.comma && slices.Contains([]string{"0", "00", "5", "50", "25", "75"}, n.tight)
}

// list reads what begins with a number and no times sign: "5,5,4 at 100",
// "5/5/4", "100 5 5 4", "100,105,110 x 5", a single number.
func (p *setParser) list() {
	if len(p.out.groups) > 0 && !(p.is(1, atAt) && p.is(2, atNum)) {
		p.fail(QNumbers) // figures after sets that were complete
		return
	}
	start := p.i
	var ns []number
	slash := true
	for p.is(0, atNum) && !p.is(1, atSet) && !p.is(1, atSeconds) {
		ns = append(ns, p.peek(0).n)
		p.i++
		if p.is(0, atRep) {
			p.i++
		}
		if p.is(0, atX) || p.is(0, atUnit) || p.is(0, atAt) {
			break
		}
		if p.is(0, atSep) && p.is(1, atNum) {
			slash = slash && p.peek(0).sep == "/"
			p.dash = p.peek(0).sep == "-"
			if p.is(2, atX) && !(p.peek(1).n.val >= firstIsLoad && ns[0].val >= firstIsLoad) {
				break
			}
			p.i++
		}
	}
	for _, n := range ns {
		if n.odd {
			p.fail(QNumberForm)
			return
		}
	}
	if p.is(0, atX) && p.is(1, atNum) {
		// "100,105,110 x 5": all of them loads
		p.i++
		reps := p.peek(0).n
		p.i++
		for _, n := range ns {
			if n.val < firstIsLoad || n.comma && !loadLike(n) {
				p.fail(QNumbers)
				return
			}
		}
		if !reps.whole {
			p.fail(QNumbers)
			return
		}
		for _, n := range ns {
			p.add(&loadRead{n: n}, []int{int(reps.val)})
		}
		return
	}
	if p.is(0, atUnit) && len(ns) > 1 {
		// "5,5,4 100kg": the last number is the load
		l := &loadRead{n: ns[len(ns)-1]}
		ns = ns[:len(ns)-1]
		p.afterLoad(l)
		p.repsAt(ns, l, slash)
		return
	}
	if p.is(0, atAt) || p.is(0, atPlus) || p.is(0, atBodyweight) {
		p.skipEachSide()
		p.repsAt(ns, p.trailing(), slash)
		return
	}
	if p.is(0, atEachSide) {
		p.skipEachSide()
		l := p.trailing()
		p.repsAt(ns, l, false)
		return
	}
	if len(ns) == 1 {
		p.i = start
		p.lone(ns[0])
		return
	}
	switch {
	case ns[0].val >= firstIsLoad && small(ns[1:]):
		p.repsAt(ns[1:], &loadRead{n: ns[0]}, false) // "100 5 5 4"
	case ns[len(ns)-1].val >= firstIsLoad && small(ns[:len(ns)-1]):
		p.repsAt(ns[:len(ns)-1], &loadRead{n: ns[len(ns)-1]}, slash) // "5,5,4 100"
	default:
		p.repsAt(ns, nil, slash)
	}
}

func small(ns []number) bool {
	for _, n := range ns {
		if n.val >= firstIsLoad {
			return false
		}
	}
	return true
}

// repsAt takes numbers for repetitions of one set each.
func (p *setParser) repsAt(ns []number, l *loadRead, slash bool) {
	dash := len(ns) == 2 && p.dash
	var reps []int
	for _, n := range ns {
		switch {
		case n.comma:
			reps = append(reps, n.a, n.b)
		case n.whole:
			reps = append(reps, int(n.val))
		default:
			p.fail(QNumbers)
			return
		}
	}
	for _, n := range reps {
		if n > maxReps {
			p.fail(QNumbers)
			return
		}
	}
	if len(reps) == 0 {
		p.fail(QNumbers)
		return
	}
	if dash && len(reps) == 2 {
		p.either(QRange, []group{{load: l, reps: reps[0]}, {load: l, reps: reps[1]}}) // "5-4": two sets, or from to
		return
	}
	if slash && len(reps) == 2 && len(ns) == 2 && p.item != nil && p.item.PerSide {
		// Two sets, or one set with the left and the right side.
		p.out.alts = append(p.out.alts, []group{{load: l, reps: reps[0]}, {load: l, reps: reps[1]}})
		if reps[0] == reps[1] {
			p.out.alts = append(p.out.alts, []group{{load: l, reps: reps[0]}})
		}
		p.out.bad = QListOrSides
		p.i = len(p.as)
		return
	}
	p.add(l, reps)
}

// lone is a single number: one set's repetitions, or a load, or a comma list.
func (p *setParser) lone(n number) {
	p.i++
	var ways [][]group
	it := p.item
	if n.comma {
		list := n.a <= maxReps && n.b <= maxReps && n.a > 0 && (it == nil || nearReps(n.a, *it) && nearReps(n.b, *it))
		if list {
			ways = append(ways, []group{{reps: n.a}, {reps: n.b}})
		}
		if loadLike(n) && (!list || it == nil || it.Load > 0 && n.val >= 0.5*float64(it.Load) && n.val <= 2*float64(it.Load)) {
			ways = append(ways, []group{{load: &loadRead{n: n}, asItem: true}})
		}
		if list && len(ways) == 1 {
			p.out.groups = append(p.out.groups, ways[0]...)
			return
		}
		p.either(QListOrComma, ways...)
		return
	}
	if n.whole && n.val <= maxReps && n.val >= 1 && (it == nil || nearReps(int(n.val), *it)) {
		if it != nil && it.Sets == 1 && n.val < firstIsLoad && it.Load >= firstIsLoad {
			p.out.groups = append(p.out.groups, group{reps: int(n.val)})
			return
		}
		ways = append(ways, []group{{reps: int(n.val)}})
		if it != nil && it.Sets > 1 {
			ways = append(ways, p.uniform(nil, it.Sets, int(n.val)))
		}
	}
	if it == nil || it.Load > 0 && n.val >= 0.5*float64(it.Load) && n.val <= 2*float64(it.Load) {
		ways = append(ways, []group{{load: &loadRead{n: n}, asItem: true}})
	}
	p.either(QNumberAlone, ways...)
}

// resolved is sets in kilograms with the doubts about them.
type resolved struct {
	sets []SetRead
	code Code
	alts [][]SetRead
}

// sane: within the limits of what is taken for sets.
func sane(ss []SetRead) bool {
	for _, s := range ss {
		if s.Reps < 0 || s.Reps > maxReps || s.Load != nil && (*s.Load < 0 || *s.Load > maxKg) {
			return false
		}
	}
	return len(ss) <= maxSets
}

// resolve turns groups into sets of an item.
func (r *reader) resolve(gs []group, it *Item) resolved {
	var out resolved
	doubt := func(c Code, alts ...[]SetRead) {
		if out.code == "" {
			out.code, out.alts = c, alts
		}
	}
	build := func(pick func(l *loadRead) *prescribe.Kg) []SetRead {
		var ss []SetRead
		for _, g := range gs {
			var kg *prescribe.Kg
			if g.load != nil {
				kg = pick(g.load)
			}
			if g.asItem {
				if it == nil {
					continue
				}
				for range min(it.Sets, maxSets) {
					ss = append(ss, SetRead{Load: kg, Reps: it.Reps})
				}
				continue
			}
			ss = append(ss, SetRead{Load: kg, Reps: g.reps})
		}
		return ss
	}
	unit := func(l *loadRead) string {
		switch {
		case l.unit != "":
			return l.unit
		case it != nil && it.Unit != "":
			return it.Unit
		case r.ctx.Unit != "":
			return r.ctx.Unit
		}
		return "kg"
	}
	value := func(l *loadRead, u string) *prescribe.Kg {
		v := prescribe.Kg(l.n.val)
		if u == "lb" {
			v *= prescribe.KgPerLb
		}
		if l.total && it != nil && it.LoadKind == prescribe.LoadDumbbells {
			v /= 2
		}
		return &v
	}
	plain := func(l *loadRead) *prescribe.Kg { return value(l, unit(l)) }
	out.sets = build(plain)
	if !sane(out.sets) {
		doubt(QOutOfRange)
	}
	for _, g := range gs {
		if !g.asItem && g.reps == 0 && g.uniform {
			doubt(QConfirm, out.sets)
		}
	}
	for _, g := range gs {
		l := g.load
		if g.asItem && it == nil {
			doubt(QNumbers)
		}
		if l == nil {
			continue
		}
		if l.n.odd {
			doubt(QNumberForm)
		}
		if l.n.comma && !loadLike(l.n) && !(r.comma() && len(l.n.tight) <= 2) {
			doubt(QNumberForm, out.sets)
		}
		kg := *plain(l)
		if unit(l) == "pound" {
			// A pound is 500 g in some kitchens and 453.6 g on most dumbbells.
			doubt(QUnitPound,
				build(func(l *loadRead) *prescribe.Kg { v := prescribe.Kg(l.n.val * 0.5); return &v }),
				build(func(l *loadRead) *prescribe.Kg { return value(l, "lb") }))
		}
		if it == nil {
			continue
		}
		switch {
		case l.each && it.LoadKind == prescribe.LoadBar, l.perSide && !it.PerSide:
			doubt(QEachOrTotal, out.sets, build(func(l *loadRead) *prescribe.Kg { v := 2 * *plain(l); return &v }))
		case (it.LoadKind == prescribe.LoadNone || it.LoadKind == prescribe.LoadFlywheel) && !l.body && l.n.val != 0:
			doubt(QLoadNotUsed, build(func(*loadRead) *prescribe.Kg { return nil }))
		case l.body && it.LoadKind == prescribe.LoadBar, l.body && it.LoadKind == prescribe.LoadDumbbells && l.n.val == 0:
			doubt(QConfirm, out.sets)
		}
		if it.Load <= 0 || l.body {
			continue
		}
		ratio := float64(kg / it.Load)
		other := "lb"
		if unit(l) == "lb" {
			other = "kg"
		}
		swapped := float64(*value(l, other) / it.Load)
		if l.unit == "" && math.Abs(ratio-1) > 0.35 && math.Abs(swapped-1) <= 0.2 {
			doubt(QUnit, build(func(l *loadRead) *prescribe.Kg { return value(l, other) }), out.sets)
		}
		if it.Load >= firstIsLoad && (ratio > 1.7 || ratio < 0.3) {
			doubt(QLoadDoubtful, out.sets)
		}
	}
	return out
}

// likely orders the card's items by how well they fit the sets: same number
// and repetitions first, then load, then the order of the card.
func likely(items []Item, sets []SetRead) []prescribe.ExerciseID {
	type fit struct {
		miss float64
		i    int
	}
	fs := make([]fit, len(items))
	for i, it := range items {
		f := fit{i: i}
		f.miss += math.Abs(float64(len(sets) - it.Sets))
		for _, s := range sets {
			f.miss += math.Abs(float64(s.Reps-it.Reps)) / float64(len(sets))
			if s.Load != nil && it.Load > 0 {
				f.miss += 10 * math.Abs(math.Log(max(float64(*s.Load), 0.1)/float64(it.Load))) / float64(len(sets))
			} else if s.Load != nil && *s.Load != 0 {
				f.miss += 10 / float64(len(sets))
			}
		}
		fs[i] = f
	}
	sort.SliceStable(fs, func(a, b int) bool { return fs[a].miss < fs[b].miss })
	var out []prescribe.ExerciseID
	for _, f := range fs {
		out = append(out, items[f.i].Exercise)
	}
	return out
}

// atoms turns lexemes into what the grammar reads; words without a part in it
// are passed to ignore.
func (r *reader) atoms(ls []lexeme) []atom {
	var out []atom
	for _, l := range ls {
		switch {
		case l.kind == lexNumber:
			out = append(out, atom{kind: atNum, n: l.num})
		case l.has("by") || l.symbol("x"):
			out = append(out, atom{kind: atX})
		case l.has("kg") || l.has("lb") || l.has("pound"):
			u := "kg"
			if l.has("lb") {
				u = "lb"
			} else if l.has("pound") {
				u = "pound"
			}
			out = append(out, atom{kind: atUnit, unit: u})
		case l.symbol("@") || l.has("at"):
			out = append(out, atom{kind: atAt})
		case l.symbol(",;/-&") || l.has("and") || l.has("or"):
			out = append(out, atom{kind: atSep, sep: l.text})
		case l.symbol("+") || l.has("plus"):
			out = append(out, atom{kind: atPlus})
		case l.symbol(":="):
			out = append(out, atom{kind: atColon})
		case l.has("outof"):
			out = append(out, atom{kind: atSep, sep: "of"})
		case l.has("bodyweight"):
			out = append(out, atom{kind: atBodyweight})
		case l.has("eachhand"):
			out = append(out, atom{kind: atEach})
		case l.has("eachside"):
			out = append(out, atom{kind: atEachSide})
		case l.has("total"):
			out = append(out, atom{kind: atTotal})
		case l.has("last"):
			out = append(out, atom{kind: atLast})
		case l.has("set"):
			out = append(out, atom{kind: atSet})
		case l.has("rep"):
			out = append(out, atom{kind: atRep})
		case l.has("written"):
			out = append(out, atom{kind: atWritten})
		case l.has("seconds"):
			out = append(out, atom{kind: atSeconds})
		case l.num.word:
			// "three sets of five"
			out = append(out, atom{kind: atNum, n: l.num})
		default:
			if a, ok := l.arg("ord"); ok {
				out = append(out, atom{kind: atOrd, n: number{val: float64(a[0] - '0'), whole: true}})
			} else if l.kind == lexUnknown {
				r.ignore(l)
			}
		}
	}
	// What stands at the ends and joins nothing.
	for len(out) > 0 && out[0].kind == atSep {
		out = out[1:]
	}
	for len(out) > 0 && (out[len(out)-1].kind == atSep || out[len(out)-1].kind == atAt) {
		out = out[:len(out)-1]
	}
	return out
}
