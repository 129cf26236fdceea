package clubfile

import (
	"cmp"
	"fmt"
	"slices"

	"pegcard/store"
)

// Problem is one thing in a club's file that has to be mended by hand. It
// names the place (line and column count from 1, columns in characters), what
// is wrong there, and what to write instead.
type Problem = store.Problem

// maxProblems is how many problems of one file are kept. A file with more is
// most likely not the file it is taken for; one more problem says how many.
const maxProblems = 200

// problems collects the problems of one file.
type problems struct {
	file string
	list []*Problem
	more int
}

// full reports whether no more problems are kept, so that advice for one need
// not be worked out.
func (ps *problems) full() bool { return len(ps.list) >= maxProblems }

func (ps *problems) add(line, column int, what, mend string) {
	if len(ps.list) >= maxProblems {
		ps.more++
		return
	}
	ps.list = append(ps.list, &Problem{At: store.At{File: ps.file, Line: line, Column: column}, What: what, Mend: mend})
}

// sorted gives the problems by place, in a stable order.
func (ps *problems) sorted() []*Problem {
	slices.SortStableFunc(ps.list, func(a, b *Problem) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column))
	})
	if ps.more > 0 {
		ps.list = append(ps.list, &Problem{
			At:   store.At{File: ps.file},
			What: fmt.Sprintf("%d more problems are not shown", ps.more),
			Mend: "mend these first and read the file again",
		})
		ps.more = 0
	}
	return ps.list
}
