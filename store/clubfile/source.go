package clubfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// MaxSize is the largest file that is read, in bytes. A season of a large club
// is some hundred kilobytes.
const MaxSize = 5 << 20

var errTooLarge = errors.New("file is too large")

// load reads a whole file as text: at most MaxSize bytes, without byte order
// mark, with line feeds only. What is not UTF-8 is a problem on its line, and is
// read on as Latin-1, so that the other problems of the file are found as well.
// ok is false when there is no text to go on with.
func load(r io.Reader, ps *problems) (text string, ok bool) {
	b, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		ps.add(0, 0, "the file cannot be read: "+err.Error(), "check that it exists and may be read")
		return "", false
	}
	if len(b) > MaxSize {
		ps.add(0, 0, fmt.Sprintf("%v: more than %d MB", errTooLarge, MaxSize>>20), "keep only what the club needs in it, or split it")
		return "", false
	}
	if bytes.HasPrefix(b, []byte{0xFF, 0xFE}) || bytes.HasPrefix(b, []byte{0xFE, 0xFF}) || bytes.IndexByte(b, 0) >= 0 {
		ps.add(1, 1, "this is not plain text in UTF-8 (it looks like UTF-16 or a spreadsheet's own format)",
			"save it as plain text in UTF-8; in a spreadsheet choose “CSV UTF-8”")
		return "", false
	}
	b = bytes.TrimPrefix(b, []byte("\xEF\xBB\xBF"))
	text = newlines.Replace(string(b))
	if !utf8.ValidString(text) {
		text = latin1(text, ps)
	}
	return text, true
}

var newlines = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// maxEncodingLines is how many lines that are not UTF-8 are named one by one.
const maxEncodingLines = 10

func latin1(text string, ps *problems) string {
	var out strings.Builder
	line, column, named, last := 1, 0, 0, 0
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		column++
		if r == utf8.RuneError && n == 1 {
			r = rune(text[i])
			if line != last && named < maxEncodingLines {
				ps.add(line, column, fmt.Sprintf("byte 0x%02X is not UTF-8 (in Latin-1 it would be %q)", text[i], string(r)),
					"save the file as UTF-8; in a spreadsheet choose “CSV UTF-8”")
				named++
			}
			last = line
		}
		if r == '\n' {
			line, column = line+1, 0
		}
		out.WriteRune(r)
		i += n
	}
	return out.String()
}
