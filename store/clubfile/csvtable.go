package clubfile

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/jszwec/csvutil"

	"pegcard/store"
)

// Limits of a table; a season of a large club has some thousand rows.
const (
	maxRows    = 20_000
	maxColumns = 100
)

// table is a comma-separated file being read row by row into values of R, a
// struct of strings with csv tags.
type table[R any] struct {
	ps     *problems
	lines  []string
	csv    *csv.Reader
	dec    *csvutil.Decoder
	header []string
	record []string // padded to the header
	fields int      // as many as the row has
}

// openTable reads the header. It gives nil when there is none to go on with.
// Names of columns may be in any order, case and spacing.
func openTable[R any](r io.Reader, ps *problems, required ...string) *table[R] {
	text, ok := load(r, ps)
	if !ok {
		return nil
	}
	known, err := csvutil.Header(*new(R), "csv")
	if err != nil {
		panic(err) // R is ours and is a struct
	}
	t := &table[R]{ps: ps, lines: strings.Split(text, "\n")}
	comma := t.delimiter()
	t.csv = csv.NewReader(strings.NewReader(strings.Join(t.lines, "\n")))
	t.csv.Comma = comma
	t.csv.FieldsPerRecord = -1
	t.csv.TrimLeadingSpace = comma != '\t'

	head, err := t.csv.Read()
	if errors.Is(err, io.EOF) {
		ps.add(1, 1, "the file is empty", "write a first line with the names of the columns: "+strings.Join(known, ","))
		return nil
	}
	if err != nil {
		t.syntax(err)
		return nil
	}
	if len(head) > maxColumns {
		ps.add(1, 1, fmt.Sprintf("there are %d columns", len(head)), "keep only the columns "+strings.Join(known, ", "))
		return nil
	}
	for i, h := range head {
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(h)))
		line, column := t.pos(i)
		switch {
		case name == "" && i == len(head)-1, name == "" && strings.Join(head[i:], "") == "":
			name = fmt.Sprintf("\x00%d", i) // an empty column at the end of a spreadsheet
		case name == "":
			ps.add(line, column, fmt.Sprintf("column %d has no name", i+1), "name it, or delete it")
			name = fmt.Sprintf("\x00%d", i)
		case !slices.Contains(known, name):
			ps.add(line, column, fmt.Sprintf("column %q is not known", strings.TrimSpace(h)), oneOf(name, known))
			name = fmt.Sprintf("\x00%d", i)
		case slices.Contains(t.header, name):
			ps.add(line, column, fmt.Sprintf("column %q is there twice", name), "delete one of them")
			name = fmt.Sprintf("\x00%d", i)
		}
		t.header = append(t.header, name)
	}
	for _, name := range required {
		if !t.has(name) {
			line, _ := t.pos(0)
			ps.add(line, 1, fmt.Sprintf("column %q is missing", name), fmt.Sprintf("add it; this file needs %s and may have %s", strings.Join(required, ", "), strings.Join(known, ", ")))
		}
	}
	t.dec, err = csvutil.NewDecoder((*tableReader[R])(t), t.header...)
	if err != nil {
		ps.add(1, 1, "the names of the columns cannot be read: "+err.Error(), "write "+strings.Join(known, ","))
		return nil
	}
	return t
}

// tableReader feeds the decoder records of the header's length.
type tableReader[R any] table[R]

func (t *tableReader[R]) Read() ([]string, error) { return t.record, nil }

func (t *table[R]) has(name string) bool { return slices.Contains(t.header, name) }

// delimiter finds what separates the values: a "sep=" line says so, otherwise
// the first line that is not blank has the most of it.
func (t *table[R]) delimiter() rune {
	for i, l := range t.lines {
		if strings.TrimSpace(l) == "" {
			continue
		}
		if rest, ok := strings.CutPrefix(strings.ToLower(strings.TrimRight(l, ",;\t")), "sep="); ok {
			t.lines[i] = ""
			if rest == "" {
				rest = strings.TrimSpace(l[len("sep="):]) + ","
			}
			switch rest[0] {
			case ';', '\t', ',':
				return rune(rest[0])
			}
			continue
		}
		best, most, quoted := ',', 0, false
		counts := map[rune]int{}
		for _, r := range l {
			if r == '"' {
				quoted = !quoted
			} else if !quoted {
				counts[r]++
			}
		}
		for _, r := range []rune{',', ';', '\t'} {
			if counts[r] > most {
				best, most = r, counts[r]
			}
		}
		return best
	}
	return ','
}

// pos is the place of field i of the last record read, the column in characters.
func (t *table[R]) pos(i int) (line, column int) {
	line, column = t.csv.FieldPos(i)
	if line >= 1 && line <= len(t.lines) {
		l := t.lines[line-1]
		column = utf8.RuneCountInString(l[:min(max(column-1, 0), len(l))]) + 1
	}
	return line, column
}

func (t *table[R]) syntax(err error) {
	var pe *csv.ParseError
	if !errors.As(err, &pe) {
		t.ps.add(0, 0, "the file cannot be read: "+err.Error(), "save it again as CSV")
		return
	}
	column := pe.Column
	if pe.Line >= 1 && pe.Line <= len(t.lines) {
		l := t.lines[pe.Line-1]
		column = utf8.RuneCountInString(l[:min(max(column-1, 0), len(l))]) + 1
	}
	switch {
	case errors.Is(pe.Err, csv.ErrBareQuote):
		t.ps.add(pe.Line, column, "a quotation mark stands inside a value", `put the whole value in quotation marks and double the one inside, such as "the ""big"" one"`)
	case errors.Is(pe.Err, csv.ErrQuote):
		t.ps.add(pe.StartLine, 1, "a value in quotation marks does not end", `close it with a quotation mark before the next separator`)
	default:
		t.ps.add(pe.Line, column, "the row cannot be read: "+pe.Err.Error(), "save the file again as CSV")
	}
}

// each calls f for every row that is not blank.
func (t *table[R]) each(f func(row R, at store.At)) {
	for rows := 0; ; rows++ {
		rec, err := t.csv.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.syntax(err)
			continue
		}
		if strings.TrimSpace(strings.Join(rec, "")) == "" {
			continue
		}
		line, _ := t.pos(0)
		if rows >= maxRows {
			t.ps.more = 0
			t.ps.list = append(t.ps.list[:min(len(t.ps.list), maxProblems-1)], &Problem{At: store.At{File: t.ps.file, Line: line, Column: 1},
				What: fmt.Sprintf("there are more than %d rows", maxRows), Mend: "split the file by season"})
			return
		}
		if extra := len(rec) - len(t.header); extra > 0 && strings.TrimSpace(strings.Join(rec[len(t.header):], "")) != "" {
			_, column := t.pos(len(t.header))
			mend := "take the extra values out"
			if t.csv.Comma == ',' {
				mend += `; a value with a comma in it, such as "102,5", needs quotation marks`
			}
			t.ps.add(line, column, fmt.Sprintf("the row has %d values for %d columns", len(rec), len(t.header)), mend)
			continue
		}
		t.fields = len(rec)
		t.record = make([]string, len(t.header))
		for i := range min(len(rec), len(t.header)) {
			t.record[i] = strings.TrimSpace(rec[i])
		}
		var row R
		if err := t.dec.Decode(&row); err != nil {
			t.ps.add(line, 1, "the row cannot be read: "+err.Error(), "write one value for each column")
			continue
		}
		f(row, store.At{File: t.ps.file, Line: line, Column: 1})
	}
}

// cell is the place of a column's value in the row being read; for a row too
// short to have it, the last value's.
func (t *table[R]) cell(name string) (line, column int) {
	i := slices.Index(t.header, name)
	if i < 0 {
		line, _ = t.pos(0)
		return line, 1
	}
	return t.pos(min(i, t.fields-1))
}

// wrong reports a fault in a column's value.
func (t *table[R]) wrong(name string, f *fault) {
	line, column := t.cell(name)
	t.ps.add(line, column, name+": "+f.what, f.mend)
}

// missing reports an empty value that is needed. A column that is missing
// altogether was reported with the header.
func (t *table[R]) missing(name, mend string) {
	if t.has(name) {
		t.wrong(name, wrong(mend, "is empty"))
	}
}
