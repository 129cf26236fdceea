package understand

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"sync"

	"pegcard/prescribe"
)

// A language is a block of lines
//
//	concept: phrase, phrase, …
//
// in ordinary spelling; accents, capitals and hyphens do not matter. A word
// that ends in * stands for every word that begins so. Lines starting with #
// are remarks. The concepts are those of Concepts below; a concept may have
// several lines, and a phrase may stand under several concepts.
//
// Warning signs have lines of three forms:
//
//	sign <sign>: phrases that are that sign by themselves
//	g <group>: words of a group; signs.go says which groups together are a sign
//	negfill: words that may stand between a "no" and the sign it denies
//
// A sign phrase that begins with ? is only a hint: the player is asked.

// lexicon is one language.
type lexicon struct {
	lang    string
	comma   bool // a comma may be the decimal mark
	entries []entry
}

type entry struct {
	key    string // "done", "region hamstring", "sign fever", "g chest"
	phrase string
	hint   bool
}

var languages = map[string]*lexicon{}

// register adds a language; it is called from the package variables of the
// lexicon files. A line that cannot be read stops the program at start, in
// every test run, with the line.
func register(lang string, decimalComma bool, block string) *lexicon {
	l, err := parseLexicon(lang, decimalComma, block)
	if err != nil {
		panic(err)
	}
	if languages[lang] != nil {
		panic(fmt.Sprintf("language %q is there twice", lang))
	}
	languages[lang] = l
	return l
}

func parseLexicon(lang string, decimalComma bool, block string) (*lexicon, error) {
	known := map[string]bool{}
	for _, c := range Concepts() {
		known[c] = true
	}
	l := &lexicon{lang: lang, comma: decimalComma}
	for i, line := range strings.Split(block, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		key, rest, ok := strings.Cut(line, ":")
		key = strings.Join(strings.Fields(key), " ")
		if !ok {
			return nil, fmt.Errorf("lexicon %s, line %d: %q has no colon; write concept: phrase, phrase", lang, i+1, line)
		}
		if !known[key] && !strings.HasPrefix(key, "ex ") && !vagueKey(key) {
			return nil, fmt.Errorf("lexicon %s, line %d: %q is not a concept", lang, i+1, key)
		}
		for _, p := range strings.Split(rest, ",") {
			p = strings.TrimSpace(p)
			if p == "" {
				continue
			}
			e := entry{key: key, phrase: p}
			if e.hint = p[0] == '?'; e.hint {
				e.phrase = strings.TrimSpace(p[1:])
			}
			l.entries = append(l.entries, e)
			if lang == "de" {
				if v := umlauts.Replace(e.phrase); v != e.phrase {
					l.entries = append(l.entries, entry{key: key, phrase: v, hint: e.hint})
				}
			}
		}
	}
	return l, nil
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue")

var regions = []prescribe.Region{
	prescribe.Hamstring, prescribe.Quadriceps, prescribe.Adductor, prescribe.Glute, prescribe.Calf, prescribe.HipFront,
	prescribe.LowBack, prescribe.UpperBack, prescribe.Trunk, prescribe.Chest, prescribe.Shoulder, prescribe.Arm,
	prescribe.Neck, prescribe.Knee, prescribe.TibialTub, prescribe.Shin, prescribe.Ankle, prescribe.Achilles,
	prescribe.Heel, prescribe.Foot, prescribe.Hip, prescribe.Elbow, prescribe.Wrist,
}

var absences = []prescribe.Absence{
	prescribe.AbsentTravel, prescribe.AbsentIll, prescribe.AbsentSore, prescribe.AbsentPain,
	prescribe.AbsentTime, prescribe.AbsentNoGym, prescribe.AbsentPrivate, prescribe.AbsentOther,
}

// signOrder is the order warnings are given in.
var signOrder = []prescribe.Sign{
	prescribe.SignChestPain, prescribe.SignFainting, prescribe.SignPalpitations, prescribe.SignBreathless,
	prescribe.SignHeadImpact, prescribe.SignConfusion, prescribe.SignLimbWeak, prescribe.SignSaddle,
	prescribe.SignBladderBowel, prescribe.SignCalfSwollen, prescribe.SignCannotBear, prescribe.SignDeformity,
	prescribe.SignPop, prescribe.SignSwelling, prescribe.SignLimp, prescribe.SignSudden, prescribe.SignDarkUrine,
	prescribe.SignFever, prescribe.SignTesticular, prescribe.SignDistress, prescribe.SignOther,
}

// plainConcepts are those without an argument.
var plainConcepts = []string{
	"done", "all", "fine", "except", "unsure", "but", "and", "or", "not", "cant", "later", "partly", "yes", "no", "help", "away", "thanks",
	"sore", "pain", "side left", "side right", "side both",
	"kg", "lb", "pound", "minutes", "hour", "seconds", "by", "at", "plus", "set", "rep", "last", "written", "rest",
	"bodyweight", "eachhand", "eachside", "total",
	"rir", "rirbefore", "rirafter", "rpe", "session", "fail", "missed", "outof",
	"exword", "filler", "negfill",
}

// signGroups are the groups that signs.go combines.
var signGroups = []string{
	"chest", "head", "calf", "pain", "pressure", "sudden", "hit", "swollen", "warm", "numb", "saddle", "weak", "limb",
	"dark", "urine", "testicle", "breath", "heart", "racing", "cannot", "walk", "move", "control", "bladder",
	"powerless", "joint", "huge", "degrees",
}

// Concepts lists every concept a language has phrases for.
func Concepts() []string {
	out := slices.Clone(plainConcepts)
	for n := 0; n <= 12; n++ {
		out = append(out, fmt.Sprintf("n %d", n))
	}
	for n := 1; n <= 6; n++ {
		out = append(out, fmt.Sprintf("ord %d", n))
	}
	for _, r := range regions {
		out = append(out, "region "+string(r))
	}
	for _, a := range absences {
		out = append(out, "reason "+string(a))
	}
	for _, s := range signOrder {
		out = append(out, "sign "+string(s))
	}
	for _, g := range signGroups {
		out = append(out, "g "+g)
	}
	return out
}

// vagueKey reports whether a key is "vague region region …": words such as
// "leg" that can mean any of those regions.
func vagueKey(key string) bool {
	f := strings.Fields(key)
	if len(f) < 3 || f[0] != "vague" {
		return false
	}
	for _, r := range f[1:] {
		if !slices.Contains(regions, prescribe.Region(r)) {
			return false
		}
	}
	return true
}

// Languages are the languages that can be read, sorted.
func Languages() []string {
	var out []string
	for l := range languages {
		out = append(out, l)
	}
	sort.Strings(out)
	return out
}

// Words gives the phrases a language has for each concept, in the order of its
// file; nil for a language that is not there.
func Words(lang string) map[string][]string {
	l := languages[lang]
	if l == nil {
		return nil
	}
	out := map[string][]string{}
	for _, e := range l.entries {
		out[e.key] = append(out[e.key], e.phrase)
	}
	return out
}

func forSigns(key string) bool {
	return key == "negfill" || strings.HasPrefix(key, "sign ") || strings.HasPrefix(key, "g ")
}

// books holds what is made of the languages once: a book of words for each, one
// book of signs over all of them, and every word anybody knows, which is never
// taken for a typing mistake.
type books struct {
	order []string
	lang  map[string]*book
	signs *book
	known map[string]bool
}

var allBooks = sync.OnceValue(func() *books {
	b := &books{order: Languages(), lang: map[string]*book{}, signs: newBook(), known: map[string]bool{}}
	for _, name := range b.order {
		general := newBook()
		for _, e := range languages[name].entries {
			if forSigns(e.key) {
				b.signs.add(e.phrase, e.key, e.hint)
			} else {
				general.add(e.phrase, e.key, false)
				// Denials, pain and regions take part in finding signs.
				if e.key == "not" || e.key == "pain" || e.key == "negfill" || e.key == "sore" || strings.HasPrefix(e.key, "region ") || strings.HasPrefix(e.key, "vague ") || e.key == "exword" {
					b.signs.add(e.phrase, e.key, false)
				}
			}
		}
		b.lang[name] = general
		for _, bk := range []*book{general, b.signs} {
			for _, w := range bk.vocab {
				if !w.star {
					b.known[w.text] = true
				}
			}
		}
	}
	return b
})
