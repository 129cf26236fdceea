package bot

import (
	"fmt"
	"strconv"
	"strings"
)

// tap is what a button carries, at most 64 bytes: a verb and arguments with
// colons between. It says an absolute result ("log set 2 as 5 repetitions of
// 100 kg"), never a step ("+2.5"), and for a card the revision it hangs on; so
// the same tap twice, under two ids or out of order, means the same.
type tap struct {
	verb string
	args []string
}

const tapMax = 64

// newTap writes a button's data. It panics when the data would not fit: every
// argument is an id or a word of our own, so that is a programming error, and
// the matrix of dialogues walks over every button.
func newTap(verb string, args ...any) string {
	parts := make([]string, 0, len(args)+1)
	parts = append(parts, verb)
	for _, a := range args {
		parts = append(parts, fmt.Sprint(a))
	}
	s := strings.Join(parts, ":")
	if len(s) > tapMax {
		panic(fmt.Sprintf("button data %q is longer than %d bytes", s, tapMax))
	}
	return s
}

// readTap splits a button's data. Anything may come back from a chat, so
// nothing of it is trusted: handlers check ids against what the person may see.
func readTap(data string) tap {
	verb, rest, has := strings.Cut(data, ":")
	if !has {
		return tap{verb: verb}
	}
	return tap{verb: verb, args: strings.Split(rest, ":")}
}

// str is argument i, "" when missing.
func (t tap) str(i int) string {
	if i >= len(t.args) {
		return ""
	}
	return t.args[i]
}

// int is argument i as a number; ok is false when it is missing or not one.
func (t tap) int(i int) (int, bool) {
	n, err := strconv.Atoi(t.str(i))
	return n, err == nil
}

// id is argument i as an id; 0, which is nobody's, when missing or wrong.
func (t tap) id(i int) int64 {
	n, err := strconv.ParseInt(t.str(i), 10, 64)
	if err != nil || n < 0 {
		return 0
	}
	return n
}
