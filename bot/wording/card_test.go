package wording

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

var update = flag.Bool("update", false, "write testdata/cards anew; read them before committing")

func rir(n int) *prescribe.RIR { r := prescribe.RIR(n); return &r }

// Tuesday in an invented week, three days before a match.
var tuesday = prescribe.Date(2026, 3, 10)

func sore(see prescribe.Audience) prescribe.Reason {
	return prescribe.Reason{Code: "change.sets_down", See: see, Args: []prescribe.Arg{
		{Name: "from", Kind: prescribe.ArgInteger, Num: 3},
		{Name: "to", Kind: prescribe.ArgInteger, Num: 2},
		{Name: "cause", Kind: prescribe.ArgID, ID: "soreness.sets"},
	}}
}

// ramp is how a record is found.
func ramp() prescribe.Reason {
	n := func(name string, v float64) prescribe.Arg {
		return prescribe.Arg{Name: name, Kind: prescribe.ArgInteger, Num: v}
	}
	return prescribe.Reason{Code: "finding.ramp", See: prescribe.ForPlayer | prescribe.ForCoach | prescribe.ForMedical,
		Args: []prescribe.Arg{n("reps", 5), n("rir", 2), n("rir_high", 3), n("sets", 6)}}
}

// fullCard has one item of every kind the card knows.
func fullCard() prescribe.Card {
	training := prescribe.ForPlayer | prescribe.ForCoach | prescribe.ForMedical
	return prescribe.Card{
		Day: tuesday, Kind: prescribe.CardTrain, MatchDay: "MD-3", Minutes: 50, Setting: "gym", Supervised: true,
		Items: []prescribe.Item{
			{Exercise: "back_squat", Sets: 3, Reps: 5, LoadKind: prescribe.LoadBar, Load: 100, Bar: 20, BarKind: "straight", Plates: []prescribe.Kg{25, 15}, RIR: rir(2), Rest: 180,
				Warmup: []prescribe.Warmup{{Load: 60, Reps: 5}, {Load: 80, Reps: 3}, {Load: 92.5, Reps: 1}},
				Reasons: []prescribe.Reason{{Code: "change.load_up", See: training, Args: []prescribe.Arg{
					{Name: "from", Kind: prescribe.ArgKg, Num: 97.5}, {Name: "to", Kind: prescribe.ArgKg, Num: 100}, {Name: "cause", Kind: prescribe.ArgID, ID: "load.step"}}}}},
			{Exercise: "trap_bar_deadlift", Sets: 3, Reps: 6, Cluster: []int{3, 3}, Pause: 20, LoadKind: prescribe.LoadBar, Load: 142.5, Bar: 25, BarKind: "trap", Plates: []prescribe.Kg{25, 25, 5, 2.5, 1.25}, RIR: rir(1), Rest: 180},
			{Exercise: "rear_foot_elevated_split_squat", Sets: 2, Reps: 6, PerSide: true, First: prescribe.Left, LoadKind: prescribe.LoadDumbbells, Load: 22.5, RIR: rir(2), Rest: 120, Reasons: []prescribe.Reason{sore(training)}},
			{Exercise: "nordic_hamstring", Method: prescribe.Eccentric, Sets: 2, Reps: 4, LoadKind: prescribe.LoadBodyweight, Rest: 120, New: true, Unused: true},
			{Exercise: "pull_up", Sets: 3, Reps: 5, LoadKind: prescribe.LoadBodyweight, Load: 10, RIR: rir(0), Rest: 150},
			{Exercise: "flywheel_squat", Method: prescribe.Flywheel, Sets: 4, Reps: 8, Uncount: 2, LoadKind: prescribe.LoadFlywheel, Inertia: 0.075, Device: "wheel-1", Rest: 120},
			{Exercise: "copenhagen_adduction", Sets: 1, Reps: 8, PerSide: true, Level: 2, LoadKind: prescribe.LoadNone, Rest: 60, New: true},
			{Exercise: "front_plank", Sets: 2, Seconds: 40, LoadKind: prescribe.LoadNone, Optional: true},
		},
	}
}

// cards are the golden renderings, by the name of their file.
func cards() map[string]struct {
	card prescribe.Card
	view View
} {
	type c = struct {
		card prescribe.Card
		view View
	}
	finding := prescribe.Card{Day: tuesday, Kind: prescribe.CardFinding, MatchDay: "MD-5", Minutes: 40, Setting: "gym", Supervised: true, Items: []prescribe.Item{
		{Exercise: "back_squat", Sets: 1, Reps: 5, LoadKind: prescribe.LoadBar, RIR: rir(2), Rest: 180, Finding: true, Reasons: []prescribe.Reason{ramp()}},
		{Exercise: "front_plank", Sets: 2, Seconds: 40, LoadKind: prescribe.LoadNone},
	}}
	findingOne := fullCard()
	findingOne.Items = findingOne.Items[:2]
	findingOne.Items[1] = prescribe.Item{Exercise: "step_up", Sets: 1, Reps: 5, PerSide: true, LoadKind: prescribe.LoadDumbbells, RIR: rir(2), Rest: 180, Finding: true, Reasons: []prescribe.Reason{ramp()}}
	remote := prescribe.Card{Day: tuesday, Kind: prescribe.CardTrain, Minutes: 25, Setting: "hotel", Items: []prescribe.Item{
		{Exercise: "split_squat", Sets: 3, Reps: 12, PerSide: true, LoadKind: prescribe.LoadBodyweight, RIR: rir(3), Tempo: "3-1-1-0", Rest: 90},
		{Exercise: "band_row", Sets: 3, Reps: 12, LoadKind: prescribe.LoadNone, Rest: 60},
	}}
	rest := prescribe.Card{Day: tuesday, Kind: prescribe.CardRest, MatchDay: "MD+1", Reasons: []prescribe.Reason{
		{Code: "rest.other_day", See: prescribe.ForEveryone, Args: []prescribe.Arg{
			{Name: "day", Kind: prescribe.ArgDay, Day: tuesday + 2}, {Name: "template", Kind: prescribe.ArgID, ID: "main-a"}, {Name: "criterion", Kind: prescribe.ArgID, ID: "soreness"}}},
	}}
	withheld := prescribe.Card{Day: tuesday, Kind: prescribe.CardWithheld, MatchDay: "MD", Reasons: []prescribe.Reason{
		{Code: "stop.pain", See: prescribe.ForPlayer | prescribe.ForMedical, Args: []prescribe.Arg{
			{Name: "region", Kind: prescribe.ArgRegion, ID: "knee/left"}, {Name: "score", Kind: prescribe.ArgScore, Num: 6}, {Name: "cause", Kind: prescribe.ArgID, ID: "score"}}},
		{Code: "stop.restricted", See: prescribe.ForCoach | prescribe.ForHeadCoach},
	}}
	asked := withheld
	asked.AskPain = []prescribe.Region{prescribe.Adductor}
	draft := fullCard()
	draft.Items = draft.Items[:1]
	draft.Approval = true
	accentuated := prescribe.Card{Day: tuesday, Kind: prescribe.CardTrain, MatchDay: "MD-4", Minutes: 20, Setting: "gym", Supervised: true, Items: []prescribe.Item{
		{Exercise: "accentuated_back_squat", Sets: 3, Reps: 3, Cluster: []int{1, 1, 1}, Pause: 25, LoadKind: prescribe.LoadBar, Load: 80, EccLoad: 110, Bar: 20, Plates: []prescribe.Kg{20, 10}, EccPlates: []prescribe.Kg{25, 20}, Rest: 240, Tempo: "4-0-X"},
		{Exercise: "leg_press", Sets: 3, Reps: 8, LoadKind: prescribe.LoadBar, Load: 140, Bar: 40, BarKind: "sled", Plates: []prescribe.Kg{25, 25}, RIR: rir(1), Rest: 150},
	}}
	return map[string]c{
		"train":            {fullCard(), View{Today: tuesday}},
		"train-replaced":   {accentuated, View{Today: tuesday, Replaces: true}},
		"finding":          {finding, View{Today: tuesday}},
		"finding-one":      {findingOne, View{Today: tuesday}},
		"remote":           {remote, View{Today: tuesday, Remote: true}},
		"rest":             {rest, View{Today: tuesday}},
		"withheld-player":  {withheld, View{Today: tuesday}},
		"withheld-asked":   {asked, View{Today: tuesday}},
		"withheld-medical": {withheld, View{Audience: prescribe.ForMedical, Name: "Tobin Marsh"}},
		"withheld-coach":   {withheld, View{Audience: prescribe.ForCoach, Name: "Tobin Marsh"}},
		"draft-coach":      {draft, View{Audience: prescribe.ForCoach, Name: "Tobin Marsh", Today: tuesday - 1, Draft: true}},
	}
}

// Every card in three languages, one of them written from right to left, as
// it stands in testdata/cards.
func TestCards(t *testing.T) {
	c := catalogue(t)
	for _, lang := range []string{"en", "de", "ar"} {
		for name, one := range cards() {
			path := filepath.Join("testdata", "cards", lang, name+".html")
			got := c.For(lang).Card(one.card, one.view) + "\n"
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
				require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, string(want), got, path)
		}
	}
}

func TestCardsAreLegalMessages(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		for name, one := range cards() {
			html := sp.Card(one.card, one.view)
			require.NoError(t, checkTags(html), "%s: %s", name, html)
			require.LessOrEqual(t, units(html), MaxMessage)
			require.NotContains(t, html, "{", name)
			require.NotContains(t, html, "reason.", name)
			require.NotContains(t, sp.CardPlain(one.card, one.view), "<", name)
			for i := range one.card.Items {
				detail := sp.CardDetail(one.card, i)
				require.NoError(t, checkTags(detail), detail)
				require.NotContains(t, detail, "{", detail)
				require.Contains(t, detail, sp.HowTo(one.card.Items[i].Exercise))
			}
		}
	})
}

// Ten seconds in one hand: the work of an exercise takes at most five lines,
// and no line wraps more than once on a phone of about 40 characters a line.
func TestCardIsShort(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		for _, block := range strings.Split(stripTags(sp.Card(fullCard(), View{Today: tuesday})), "\n\n") {
			lines := strings.Split(block, "\n")
			require.LessOrEqual(t, len(lines), 5, block)
			for _, line := range lines {
				require.LessOrEqual(t, len([]rune(line)), 100, line)
			}
		}
	})
}

// A card never gets too long for one message: warm-ups go first, then detail,
// then the last exercises, and the safety line stays.
func TestLongCardFitsOneMessage(t *testing.T) {
	c := fullCard()
	for range 60 {
		c.Items = append(c.Items, fullCard().Items[0])
	}
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		html := sp.Card(c, View{})
		require.LessOrEqual(t, units(html), MaxMessage)
		require.NoError(t, checkTags(html))
		require.Contains(t, html, sp.T("card.safety"))
		require.Contains(t, html, "142", "the second exercise is still there")
	})
}

// What a withheld card says depends on its reader: the player and the coach
// read no place and no score, medical staff do.
func TestWithheldCardDisclosesNothing(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		knee := sp.Region(prescribe.Knee, prescribe.Left)
		for _, name := range []string{"withheld-player", "withheld-coach"} {
			one := cards()[name]
			html := sp.Card(one.card, one.view)
			require.NotContains(t, html, knee, name)
			require.NotContains(t, html, "6/10", name)
		}
		one := cards()["withheld-medical"]
		require.Contains(t, sp.Card(one.card, one.view), knee)
		require.Equal(t, sp.T("card.withheld_player"), sp.T("player.held"), "the card and the answer say the same")
	})
}

// Markup in what people wrote cannot get into the message.
func TestNamesAreEscaped(t *testing.T) {
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		html := sp.Card(fullCard(), View{Audience: prescribe.ForCoach, Name: "<a href='x'>&"})
		require.NoError(t, checkTags(html))
		require.Contains(t, html, "&lt;a href=&#39;x&#39;&gt;&amp;")
		require.NotContains(t, sp.T("staff.player_note", "name", "<b>", "text", "</b>"), "<b>")
	})
}
