package understand_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pegcard/bot/understand"
	"pegcard/prescribe"
)

var openQuestions = []understand.Open{
	understand.OpenNone, understand.OpenRIR, understand.OpenRPE, understand.OpenPain, understand.OpenSoreness,
	understand.OpenReason, understand.OpenMinutes, understand.OpenLoad, understand.OpenReps, understand.OpenRegion, understand.OpenYesNo,
}

func drawContext(t *rapid.T) understand.Context {
	names := []string{"four", "light", "none", "nordic", "pullup", "split", "squat"}
	return understand.Context{
		Lang:  rapid.SampledFrom(append(understand.Languages(), "", "xx")).Draw(t, "lang"),
		Items: cards[rapid.SampledFrom(names).Draw(t, "card")],
		Open:  rapid.SampledFrom(openQuestions).Draw(t, "open"),
		Unit:  rapid.SampledFrom([]string{"", "kg", "lb"}).Draw(t, "unit"),
	}
}

// drawText is a text as it might come: pieces of the corpus, words, anything.
func drawText(t *rapid.T, lines []line) string {
	n := rapid.IntRange(0, 4).Draw(t, "pieces")
	var out []string
	for range n {
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			out = append(out, rapid.String().Draw(t, "any"))
		case 1:
			out = append(out, rapid.StringMatching(`[0-9x@,./ :+-]{0,12}`).Draw(t, "numbers"))
		default:
			out = append(out, lines[rapid.IntRange(0, len(lines)-1).Draw(t, "line")].text)
		}
	}
	return strings.Join(out, rapid.SampledFrom([]string{" ", "\n", ", ", "; ", ". "}).Draw(t, "between"))
}

// Every reading keeps what the type promises.
func check(t require.TestingT, text string, r understand.Reading) {
	require.NotZerof(t, len(r.Meanings)+len(r.Unclear), "%q was met with silence", text)
	warned := map[prescribe.Sign]bool{}
	var meanings []understand.Meaning
	meanings = append(meanings, r.Meanings...)
	for _, q := range r.Unclear {
		require.NotEmpty(t, q.Code, text)
		require.Equal(t, q.Code == understand.QSign, q.Sign != "", text)
		for _, c := range q.Candidates {
			require.NotEmpty(t, c, text)
			meanings = append(meanings, c...)
		}
	}
	for i, m := range r.Meanings {
		if m.Kind == understand.Warning {
			require.False(t, warned[m.Sign], text)
			warned[m.Sign] = true
			require.True(t, i == 0 || r.Meanings[i-1].Kind == understand.Warning, "warnings come first")
		}
	}
	for _, m := range meanings {
		require.NotEmpty(t, m.Kind, text)
		require.LessOrEqual(t, len(m.Sets), 20, text)
		for _, s := range m.Sets {
			require.True(t, s.Reps >= 0 && s.Reps <= 50, text)
			if s.Load != nil {
				require.True(t, *s.Load >= 0 && *s.Load <= 600, text)
			}
			if s.RIR != nil {
				require.True(t, *s.RIR >= 0 && *s.RIR <= 10, text)
			}
		}
		if m.Score != nil {
			require.True(t, *m.Score >= 0 && *m.Score <= 10, text)
		}
		switch m.Kind {
		case understand.Warning:
			require.NotEmpty(t, m.Sign, text)
		case understand.RIR, understand.RPE, understand.Score:
			require.True(t, m.N >= 0 && m.N <= 10, text)
		case understand.Minutes:
			require.True(t, m.N >= 1 && m.N <= 300, text)
		case understand.Load:
			require.NotNil(t, m.Load, text)
		}
		require.True(t, utf8.ValidString(m.Rest), text)
	}
	require.NotContains(t, meanings, understand.Meaning{Kind: understand.Pain, Region: prescribe.Chest})
}

// Any text is answered, keeps the promises, and reads the same twice.
func TestReadAnswersAnything(t *testing.T) {
	lines := readCorpus(t)
	rapid.Check(t, func(t *rapid.T) {
		ctx, text := drawContext(t), drawText(t, lines)
		r := understand.Read(text, ctx)
		check(t, text, r)
		require.Equal(t, r, understand.Read(text, ctx))
	})
}

// A set log written in the plain form reads back as it was.
func TestSetLogReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lang := rapid.SampledFrom(understand.Languages()).Draw(t, "lang")
		load := float64(rapid.IntRange(160, 400).Draw(t, "quarters")) / 4 // 40–100 kg
		n := rapid.IntRange(1, 6).Draw(t, "sets")
		item := understand.Item{Exercise: "back_squat", Names: []string{"Back squat"}, Sets: n, Reps: 5, Load: 70, LoadKind: prescribe.LoadBar}
		ctx := understand.Context{Lang: lang, Items: []understand.Item{item}}
		number := strconv.FormatFloat(load, 'f', -1, 64)
		if rapid.Bool().Draw(t, "comma") {
			number = strings.ReplaceAll(number, ".", ",")
		}
		var reps []int
		var text string
		if rapid.Bool().Draw(t, "uniform") {
			k := rapid.IntRange(1, 12).Draw(t, "reps")
			reps = slices.Repeat([]int{k}, n)
			text = fmt.Sprintf("%dx%d @ %s kg", n, k, number)
		} else {
			var w []string
			for range n {
				k := rapid.IntRange(1, 12).Draw(t, "reps")
				reps = append(reps, k)
				w = append(w, fmt.Sprint(k))
			}
			text = number + " kg x " + strings.Join(w, rapid.SampledFrom([]string{",", ", ", " ", "/"}).Draw(t, "between"))
		}
		rir := rapid.IntRange(-1, 4).Draw(t, "rir")
		if rir >= 0 {
			text += fmt.Sprintf(" rir %d", rir)
		}
		r := understand.Read(text, ctx)
		require.Empty(t, r.Unclear, text)
		require.Len(t, r.Meanings, 1, text)
		m := r.Meanings[0]
		require.Equal(t, item.Exercise, m.Exercise)
		require.Len(t, m.Sets, n, text)
		for i, s := range m.Sets {
			require.Equal(t, reps[i], s.Reps, text)
			require.InDelta(t, load, float64(*s.Load), 1e-9, text)
		}
		last := m.Sets[n-1].RIR
		if rir < 0 {
			require.Nil(t, last)
		} else {
			require.EqualValues(t, rir, *last, text)
		}
	})
}

// The script of the digits does not matter.
func TestDigitsOfAnyScript(t *testing.T) {
	zeros := []rune{'٠', '۰', '०', '０', '๐', '𝟎'}
	lines := readCorpus(t)
	rapid.Check(t, func(t *rapid.T) {
		l := lines[rapid.IntRange(0, len(lines)-1).Draw(t, "line")]
		if strings.HasPrefix(l.text, "/") || strings.ContainsRune(l.text, '️') {
			return
		}
		zero := rapid.SampledFrom(zeros).Draw(t, "zero")
		text := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return zero + r - '0'
			}
			return r
		}, l.text)
		require.Equal(t, show(understand.Read(l.text, l.ctx)), show(understand.Read(text, l.ctx)), text)
	})
}

// Space, ornament and case around a text do not matter.
func TestOrnamentDoesNotMatter(t *testing.T) {
	lines := readCorpus(t)
	around := []string{" ", "  ", "\t", "\n", "!", " !!", " 🙂", " 🔥", " ⚽🔥 ", "\u200f", "\u00a0"}
	rapid.Check(t, func(t *rapid.T) {
		l := lines[rapid.IntRange(0, len(lines)-1).Draw(t, "line")]
		r := understand.Read(l.text, l.ctx)
		// A command is taken to the letter, and an emoji alone is the message.
		if strings.HasPrefix(l.text, "/") || slices.ContainsFunc(r.Unclear, func(q understand.Question) bool {
			return q.Code == understand.QEmoji || q.Code == understand.QUnreadable
		}) ||
			!strings.ContainsFunc(l.text, func(r rune) bool { return r < 0x2000 && r != ' ' }) {
			return
		}
		before, after := rapid.SampledFrom(around).Draw(t, "before"), rapid.SampledFrom(around).Draw(t, "after")
		text := before + l.text + after
		require.Equal(t, show(r), show(understand.Read(text, l.ctx)), "%q", text)
		require.Equal(t, show(r), show(understand.Read(strings.ToUpper(l.text), l.ctx)), "upper case of %q", l.text)
	})
}

// A warning sign added to any text, before or behind, in any language and in a
// chat of any other, is an alert or a question about that very sign.
func TestWarningIsNeverReadAway(t *testing.T) {
	lines := readCorpus(t)
	type sign struct {
		sign   prescribe.Sign
		phrase string
	}
	var signs []sign
	for _, lang := range understand.Languages() {
		words := understand.Words(lang)
		for _, key := range understand.Concepts() {
			if s, ok := strings.CutPrefix(key, "sign "); ok {
				for _, p := range words[key] {
					signs = append(signs, sign{prescribe.Sign(s), p})
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := signs[rapid.IntRange(0, len(signs)-1).Draw(t, "sign")]
		text := drawText(t, lines)
		between := rapid.SampledFrom([]string{" ", "\n", ", ", ". ", " 😬 "}).Draw(t, "joint")
		if rapid.Bool().Draw(t, "behind") {
			text += between + s.phrase
		} else {
			text = s.phrase + between + text
		}
		r := understand.Read(text, drawContext(t))
		require.Truef(t, alerts(r, s.sign), "%q gave %s", text, show(r))
	})
}

// One slip of the finger in a word of five letters or more of a sign is still
// seen.
func TestMistypedWarning(t *testing.T) {
	for text, want := range map[string]prescribe.Sign{
		"chesst pain": prescribe.SignChestPain, "i faintd": prescribe.SignFainting, "palpitatons": prescribe.SignPalpitations,
		"concussoin": prescribe.SignHeadImpact, "ankle swolen": prescribe.SignSwelling, "suicidl": prescribe.SignDistress,
		"me desmayee": prescribe.SignFainting, "gehirnerschuterung": prescribe.SignHeadImpact, "desmaei": prescribe.SignFainting,
		"evanouii": prescribe.SignFainting, "flauwgevalen": prescribe.SignFainting, "febbree": prescribe.SignFever,
	} {
		for _, lang := range understand.Languages() {
			r := understand.Read(text, understand.Context{Lang: lang})
			require.Truef(t, alerts(r, want), "%q in %s gave %s", text, lang, show(r))
		}
	}
}

// What is no sign raises none: a false alarm costs trust in the true ones.
func TestOrdinaryTextRaisesNothing(t *testing.T) {
	for _, text := range []string{
		"3x5 100 felt strong", "never again lol", "fewer reps today", "heard the new song, 3x5 100", "watch the match tonight",
		"squats were heavy, sore legs 5", "left hamstring tight 4", "calf raises 3x12 done", "knee pain 2", "shoulder press 3x8 20",
		"flight delayed, no session", "bench press 60x8", "good pump today", "head coach said rest", "hot in the gym today",
		"paint is drying", "stopped at 2 sets", "nothing left in the tank", "chest press 3x8 40 done",
		"mañana entreno", "j'ai fait la séance avec mon frère", "morgen mache ich es", "domani faccio la seduta", "morgen doe ik het", "fiz o treino todo",
		"خلصت التمرين الحمد لله", "knap gedaan, 3x5 100", "cogí el bus tarde", "ho preso il treno", "ich nehme den Bus",
	} {
		for _, lang := range understand.Languages() {
			r := understand.Read(text, understand.Context{Lang: lang, Items: cards["four"]})
			for _, m := range r.Meanings {
				require.NotEqualf(t, understand.Warning, m.Kind, "%q in %s: %s", text, lang, m.Sign)
			}
			for _, q := range r.Unclear {
				require.NotEqualf(t, understand.QSign, q.Code, "%q in %s: %s from %q", text, lang, q.Sign, q.Word)
			}
		}
	}
}

func TestLongText(t *testing.T) {
	ctx := understand.Context{Lang: "en", Items: cards["squat"]}
	r := understand.Read(strings.Repeat("a", 1001), ctx)
	require.Equal(t, "? too_long", show(r))
	r = understand.Read(strings.Repeat("3x5 100 ", 200)+"chest pain", ctx)
	require.Equal(t, "warning chest_pain; ? too_long", show(r))
	r = understand.Read("I fainted. "+strings.Repeat("é", 100_000)+" chest pain", ctx)
	require.Equal(t, "warning fainting; warning chest_pain; ? too_long", show(r))
	require.NotEqual(t, "? too_long", show(understand.Read(strings.Repeat("a", 1000), ctx)))
}

// The work is bounded: texts made to be slow are read in well under a second.
func TestReadIsBounded(t *testing.T) {
	for _, piece := range []string{
		"no ", "no any ", "pain chest ", "chest ", "no have pain ", "suddenly leg ", "chesst paim ", "press chest, ", "5,", "5x", "1 ",
		"left right ", "squaat ", "can't walk no ", "pop ", "rir ", "last set ", "knee and ", "a", "ø", "؟", "🤒", "((", "الم ", "no puedo ", "heaad hhit ",
		"knee 1-", "1-2-", "4 or ", "squt ", "knee and calf ", "rir 1-2 ", "8/", "3 of ", "left ",
	} {
		for _, n := range []int{understand.MaxRunes, 9000} {
			text := string([]rune(strings.Repeat(piece, n))[:n])
			start := time.Now()
			understand.Read(text, understand.Context{Lang: "en", Items: cards["four"]})
			// Generous, for a busy machine; the slowest takes tens of milliseconds.
			require.Lessf(t, time.Since(start), 5*time.Second, "%d runes of %q", n, piece)
		}
	}
}

// The words of a reading are given back, and what was not understood is named.
func TestIgnoredWordsAreNamed(t *testing.T) {
	r := understand.Read("3x5 100 flubber", understand.Context{Lang: "en", Items: cards["squat"]})
	require.Equal(t, "back_squat 3×5 @100kg", show(r))
	require.Equal(t, []string{"flubber"}, r.Ignored)
}

func FuzzRead(f *testing.F) {
	for _, l := range readCorpus(f) {
		f.Add(l.text, l.ctx.Lang, string(l.ctx.Open), uint8(0))
	}
	names := []string{"four", "light", "none", "nordic", "pullup", "split", "squat"}
	f.Fuzz(func(t *testing.T, text, lang, open string, card uint8) {
		ctx := understand.Context{Lang: lang, Open: understand.Open(open), Items: cards[names[int(card)%len(names)]]}
		check(t, text, understand.Read(text, ctx))
	})
}

func BenchmarkReadWorst(b *testing.B) {
	text := strings.Repeat("chesst paim kneee swollenn ", 37)
	ctx := understand.Context{Lang: "en", Items: cards["four"]}
	understand.Read(text, ctx)
	for b.Loop() {
		understand.Read(text, ctx)
	}
}
