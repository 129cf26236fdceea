package understand_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"pegcard/bot/understand"
	"pegcard/prescribe"
)

// Every language names every place, reason and sign: what one language can
// report, all can.
func TestLanguagesAreComplete(t *testing.T) {
	langs := understand.Languages()
	require.Equal(t, []string{"ar", "de", "en", "es", "fr", "it", "nl", "pt"}, langs)
	// Concepts a language may lack: "pound" is only for a word that is 500 g to
	// some and 453.6 g to others.
	optional := []string{"pound"}
	for _, lang := range langs {
		words := understand.Words(lang)
		for _, key := range understand.Concepts() {
			if slices.Contains(optional, key) {
				continue
			}
			require.NotEmptyf(t, words[key], "%s has no phrase for %q", lang, key)
		}
	}
	require.Nil(t, understand.Words("xx"))
}

// Every phrase for a warning sign, in every language, raises that sign or asks
// about it, whatever the language of the chat.
func TestEverySignPhraseIsSeen(t *testing.T) {
	for _, lang := range understand.Languages() {
		for key, phrases := range understand.Words(lang) {
			if len(key) < 6 || key[:5] != "sign " {
				continue
			}
			for _, p := range phrases {
				for _, chat := range []string{lang, "en", "ar"} {
					r := understand.Read(p, understand.Context{Lang: chat})
					require.Truef(t, alerts(r, prescribe.Sign(key[5:])), "%s: %q in a chat in %s gave %s", lang, p, chat, show(r))
				}
			}
		}
	}
}

// Every phrase for a place is read as that place in its own language.
func TestEveryRegionPhraseIsRead(t *testing.T) {
	for _, lang := range understand.Languages() {
		for key, phrases := range understand.Words(lang) {
			if len(key) < 8 || key[:7] != "region " || key == "region chest" {
				continue
			}
			for _, p := range phrases {
				r := understand.Read(p, understand.Context{Lang: lang, Open: understand.OpenRegion})
				require.NotEmptyf(t, r.Meanings, "%s: %q gave %s", lang, p, show(r))
				m := r.Meanings[0]
				require.Containsf(t, []understand.Kind{understand.Place, understand.Pain}, m.Kind, "%s: %q gave %s", lang, p, show(r))
				require.Equalf(t, prescribe.Region(key[7:]), m.Region, "%s: %q", lang, p)
			}
		}
	}
}

// alerts: the reading raises the sign, or asks about it. A more specific sign
// stands for a swelling of the calf.
func alerts(r understand.Reading, want prescribe.Sign) bool {
	for _, m := range r.Meanings {
		if m.Kind == understand.Warning && (m.Sign == want || want == prescribe.SignSwelling && m.Sign == prescribe.SignCalfSwollen) {
			return true
		}
	}
	for _, q := range r.Unclear {
		if q.Code == understand.QSign && q.Sign == want {
			return true
		}
	}
	return false
}
