package bot

import (
	"encoding/json"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"pegcard/store"
)

func joinLines(lines []string) string { return strings.Join(lines, "\n") }

func ignoreNotFound(err error) error {
	if errors.Is(err, store.ErrNotFound) {
		return nil
	}
	return err
}

// capital makes the first letter a capital, past marks of writing direction.
func capital(s string) string {
	for i, r := range s {
		if unicode.Is(unicode.Cf, r) {
			continue
		}
		return s[:i] + string(unicode.ToUpper(r)) + s[i+utf8.RuneLen(r):]
	}
	return s
}

func encode(v any) (json.RawMessage, error) { return json.Marshal(v) }
