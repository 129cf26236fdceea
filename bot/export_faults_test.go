package bot

import (
	"strings"

	"pegcard/bot/telegram"
)

// Pages that only tests send: one that panics over a person's words, and one of
// three messages' length.
func init() {
	pages["testpanic"] = func(*rendering, tap) (telegram.Outgoing, error) { panic("my knee hurts") }
	pages["testlong"] = func(*rendering, tap) (telegram.Outgoing, error) {
		var b strings.Builder
		for _, word := range []string{"alpha", "beta", "gamma"} {
			b.WriteString(word + "\n" + strings.Repeat("x", telegram.MessageMax-len(word)-2) + "\n")
		}
		return telegram.Outgoing{Text: strings.TrimSpace(b.String())}, nil
	}
}

// Tappable reports whether a button may open the page.
func Tappable(page string) bool { return tappable[page] }
