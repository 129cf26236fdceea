package wording

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pegcard/prescribe"
)

// Decimal signs, plural forms and digits: Unicode CLDR (through golang.org/x/text
// and go-i18n). Latin digits in Arabic are this project's choice: plates are
// stamped with them.
func TestNumbers(t *testing.T) {
	c := catalogue(t)
	for lang, want := range map[string]string{"en": "102.5", "es": "102,5", "fr": "102,5", "pt": "102,5", "de": "102,5", "it": "102,5", "nl": "102,5", "ar": "102.5"} {
		sp := c.For(lang)
		require.Equal(t, want, sp.Number(102.5), lang)
		require.Equal(t, "−"+want, sp.Number(-102.5), lang)
		require.Equal(t, "100", sp.Number(100), lang)
		require.Equal(t, "12345", sp.Number(12345), "%s: no thousands separator", lang)
	}
	en, de := c.For("en"), c.For("de")
	require.Equal(t, "102.5 kg", en.Kg(102.5))
	require.Equal(t, "1.25 kg", en.Kg(1.25))
	require.Equal(t, "102.06 kg", en.Kg(225*prescribe.KgPerLb))
	require.Equal(t, "0,075 kg·m²", de.Inertia(0.075))
	require.Equal(t, "87,5 %", de.Percent(87.5))
	require.Equal(t, "6/10", en.Score(6))
	for s, want := range map[prescribe.Seconds]string{20: "20 s", 60: "1 min", 90: "90 s", 120: "2 min", 150: "2 min 30 s", 180: "3 min"} {
		require.Equal(t, want, en.Seconds(s))
	}
}

func TestPlurals(t *testing.T) {
	c := catalogue(t)
	for _, one := range []struct {
		lang string
		n    int
		want string
	}{
		{"en", 1, "1 day"}, {"en", 2, "2 days"}, {"en", 0, "0 days"},
		{"fr", 0, "0 jour"}, {"fr", 2, "2 jours"}, // French counts 0 as one
		{"de", 1, "1 Tag"}, {"de", 3, "3 Tage"},
		{"ar", 1, "يوم واحد"}, {"ar", 2, "يومان"}, {"ar", 3, "3 أيام"}, {"ar", 11, "11 يومًا"}, {"ar", 100, "100 يوم"},
	} {
		require.Equal(t, one.want, c.For(one.lang).Days(one.n), "%s %d", one.lang, one.n)
	}
}

func TestDaysAndMatchDays(t *testing.T) {
	c := catalogue(t)
	en := c.For("en")
	require.Equal(t, "Tue 10 March", en.Day(tuesday))
	require.Equal(t, "Di 10. März", c.For("de").Day(tuesday))
	require.Equal(t, "mar 10 de marzo", c.For("es").Day(tuesday))
	require.Equal(t, "10 March 2026", en.DayYear(tuesday))
	require.Empty(t, en.Day(0))
	require.Equal(t, "today", en.Near(tuesday, tuesday))
	require.Equal(t, "tomorrow", en.Near(tuesday+1, tuesday))
	require.Equal(t, "Thu 12 March", en.Near(tuesday+2, tuesday))
	require.Equal(t, "Tue 10 March, 18:05", en.At(time.Date(2026, 3, 10, 18, 5, 0, 0, time.UTC)))
	for md, want := range map[string]string{"MD-3": "MD−3", "MD−3": "MD−3", "MD+1": "MD+1", "MD": "match day", "MD+0": "match day", "": "", "x": ""} {
		require.Equal(t, want, en.MatchDay(md), md)
	}
}

func TestArgumentsAndCapitals(t *testing.T) {
	en := catalogue(t).For("en")
	require.Equal(t, "Left knee: how sore? 0 = not at all, 10 = as sore as can be.", en.T("player.sore_score", "region", HTML(en.Region(prescribe.Knee, prescribe.Left))))
	require.Equal(t, en.T("player.done"), en.T("player.done", map[string]any{}))
	require.Equal(t, "Noted: a", strings.Replace(en.T("player.logged", "what", "a"), "Logged", "Noted", 1))
	require.Equal(t, "no.such.id", en.T("no.such.id"))
	require.Equal(t, "Logged: {what}", en.T("player.logged"), "a missing argument shows")
	require.Panics(t, func() { en.T("player.logged", "what") })
	require.Equal(t, "Can't today", en.Button("cant"))
	require.Equal(t, "", en.List(nil))
	require.Equal(t, "a, b and &lt;c&gt;", en.List([]string{"a", "b", "<c>"}))
	names := []string{"Öberg", "Zola", "Adams", "ole"}
	en.Sort(names)
	require.Equal(t, []string{"Adams", "Öberg", "ole", "Zola"}, names)
}

// Writing directions: UAX #9. What has another direction than the text around
// it is isolated, so that "3 × 5" is not read as 5 × 3.
func TestDirections(t *testing.T) {
	c := catalogue(t)
	ar, en := c.For("ar"), c.For("en")
	require.Equal(t, "\u2068Tobin Marsh\u2069", ar.Format("Tobin Marsh"))
	require.Equal(t, "Tobin Marsh", en.Format("Tobin Marsh"))
	require.Equal(t, "\u2068سامي\u2069", en.Format("سامي"))
	require.Equal(t, "سامي", ar.Format("سامي"))
	require.Contains(t, ar.Card(fullCard(), View{}), "\u20683 × 5\u2069")
	require.Equal(t, "\u2068MD−3\u2069", ar.MatchDay("MD-3"))
	require.NotContains(t, ar.Inertia(0.075), rightToLeftMark)
	for _, line := range strings.Split(ar.T("player.help"), "\n") {
		require.NotEqual(t, class('a'), firstStrong(line), "a line that would start from the left: %q", line)
	}
	for _, one := range cards() {
		open := 0
		for _, r := range ar.Card(one.card, one.view) {
			switch r {
			case '\u2068':
				open++
			case '\u2069':
				open--
			}
			require.GreaterOrEqual(t, open, 0)
		}
		require.Zero(t, open, "every isolate is closed")
	}
}

func TestReasonsByReader(t *testing.T) {
	en := catalogue(t).For("en")
	rs := []prescribe.Reason{
		{Code: "stop.pain", See: prescribe.ForPlayer | prescribe.ForMedical, Args: []prescribe.Arg{{Name: "region", Kind: prescribe.ArgRegion, ID: "knee"}, {Name: "score", Kind: prescribe.ArgScore, Num: 6}, {Name: "cause", Kind: prescribe.ArgID, ID: "score"}}},
		{Code: "stop.restricted", See: prescribe.ForCoach},
		{Code: "load.rounded", See: prescribe.ForEveryone, Args: []prescribe.Arg{{Name: "from", Kind: prescribe.ArgKg, Num: 101}, {Name: "to", Kind: prescribe.ArgKg, Num: 100}}},
	}
	require.Equal(t, []string{"Held: ask medical staff.", "Rounded down to what can be loaded: 101 kg to 100 kg."}, en.Reasons(rs, prescribe.ForCoach))
	require.Equal(t, []string{"Stopped for pain, knee 6/10: too high to train this place.", "Rounded down to what can be loaded: 101 kg to 100 kg."}, en.Reasons(rs, prescribe.ForMedical))
}

func TestWhyNamesRulesAndSources(t *testing.T) {
	c := fullCard()
	c.Items[0].Reasons = []prescribe.Reason{
		{Code: "record.none", See: prescribe.ForCoach, Rules: []string{"record.retest_cv", "record.quantile"}, Args: []prescribe.Arg{{Name: "exercise", Kind: prescribe.ArgExercise, ID: "back_squat"}}},
		{Code: "stop.warning", See: prescribe.ForMedical, Args: []prescribe.Arg{{Name: "sign", Kind: prescribe.ArgID, ID: "fever"}}},
	}
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		html := sp.Why(c, 0, prescribe.ForCoach)
		require.NoError(t, checkTags(html), html)
		require.Contains(t, html, "record.retest_cv")
		require.Contains(t, html, "record.quantile")
		require.Contains(t, html, Escape(prescribe.Bibliography()["grgic2020"]))
		require.Contains(t, html, sp.T("why.mark_ours"))
		require.NotContains(t, html, sp.Sign(prescribe.SignFever), "what the coach may not see")
		require.Contains(t, sp.Why(c, 0, prescribe.ForMedical), sp.Sign(prescribe.SignFever))
		require.NotContains(t, sp.WhyPlain(c, 0, prescribe.ForCoach), "<")
	})
}

func TestLongWhyFitsOneMessage(t *testing.T) {
	sp := catalogue(t).For("ar")
	one := prescribe.Reason{Code: "record.none", See: prescribe.ForCoach, Rules: []string{"record.retest_cv", "record.quantile"}, Args: []prescribe.Arg{{Name: "exercise", Kind: prescribe.ArgExercise, ID: "back_squat"}}}
	c := fullCard()
	for _, n := range []int{1, 15, 40, 400} {
		c.Reasons = nil
		for range n {
			c.Reasons = append(c.Reasons, one)
		}
		html := sp.Why(c, -1, prescribe.ForCoach)
		require.LessOrEqual(t, units(html), MaxMessage, n)
		require.NoError(t, checkTags(html))
		require.Contains(t, html, sp.Reason(one))
		require.Equal(t, n, strings.Count(sp.WhyPlain(c, -1, prescribe.ForCoach), "record.quantile"), "plain has them all")
	}
}

// Only medical staff read signs, places and scores of a notice.
func TestNoticesByReader(t *testing.T) {
	kinds := constants(t, "prescribe/card.go", "NoticeKind")
	eachLanguage(t, false, func(t *testing.T, sp, _ *Speaker) {
		for _, kind := range kinds {
			n := prescribe.Notice{Kind: prescribe.NoticeKind(kind), Region: prescribe.Knee, Side: prescribe.Left, Sign: prescribe.SignFever, To: prescribe.ForEveryone,
				Args: []prescribe.Arg{
					{Name: "score", Kind: prescribe.ArgScore, Num: 8}, {Name: "sessions", Kind: prescribe.ArgInteger, Num: 2}, {Name: "what", Kind: prescribe.ArgID, ID: "nordic"}, {Name: "days", Kind: prescribe.ArgDays, Num: 12},
					{Name: "exercise", Kind: prescribe.ArgExercise, ID: "step_up"}, {Name: "difference", Kind: prescribe.ArgPercent, Num: 18}}}
			knee, sign := sp.Region(prescribe.Knee, prescribe.Left), sp.Sign(prescribe.SignFever)
			for _, who := range []prescribe.Audience{prescribe.ForCoach, prescribe.ForMedical, prescribe.ForHeadCoach, prescribe.ForSafeguarding} {
				for _, youth := range []bool{false, true} {
					text := sp.Notice(n, who, youth)
					require.NotEmpty(t, text, kind)
					require.NotContains(t, text, "{", kind)
					if who != prescribe.ForMedical && !(kind == "soreness" && who == prescribe.ForCoach && !youth) {
						require.NotContains(t, text, knee, kind)
						require.NotContains(t, text, sign, kind)
						require.NotContains(t, text, "8/10", kind)
					}
				}
			}
			n.To = prescribe.ForMedical
			require.Empty(t, sp.Notice(n, prescribe.ForCoach, false), "not meant for the coach")
		}
		skipped := prescribe.Notice{Kind: prescribe.NoticeSkipped, To: prescribe.ForCoach, Args: []prescribe.Arg{{Name: "sessions", Kind: prescribe.ArgInteger, Num: 3}}}
		require.Equal(t, sp.T("alert.skipped_staff", "n", 3), sp.Notice(skipped, prescribe.ForCoach, false))
		require.Contains(t, sp.Notice(prescribe.Notice{Kind: prescribe.NoticeWarning, Sign: prescribe.SignFever, To: prescribe.ForMedical}, prescribe.ForMedical, false), sp.Sign(prescribe.SignFever))
	})
}

func TestSpeakersMayBeShared(t *testing.T) {
	sp := catalogue(t).For("de")
	want := sp.Card(fullCard(), View{})
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 20 {
				if got := sp.Card(fullCard(), View{}); got != want {
					t.Error("another card")
				}
			}
		})
	}
	wg.Wait()
}
