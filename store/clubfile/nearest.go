package clubfile

import (
	"fmt"
	"strings"
)

// nearest is the candidate most like what was written, or "" when none is near
// enough to be meant: at most a third of its letters differ.
func nearest(written string, candidates []string) string {
	w := strings.ToLower(written)
	if len(w) > 100 {
		return ""
	}
	best, bestD := "", 1<<30
	for _, c := range candidates {
		if n := len(w) - len(c); n > len(w)/2+1 || -n > len(c)/2+1 {
			continue // too unlike to be near, whatever the letters
		}
		d := distance(w, strings.ToLower(c))
		if d < bestD || d == bestD && c < best {
			best, bestD = c, d
		}
	}
	if n := max(len([]rune(w)), len([]rune(best))); best == "" || bestD > max(1, n/3) {
		return ""
	}
	return best
}

// oneOf words the advice for a value out of a closed list.
func oneOf(written string, candidates []string) string {
	if n := nearest(written, candidates); n != "" {
		return fmt.Sprintf("write %q (one of %s)", n, shortList(candidates))
	}
	return "write one of " + shortList(candidates)
}

// anyOf words the choice for a value that is not there yet.
func anyOf(candidates []string) string { return "one of " + shortList(candidates) }

func shortList(l []string) string {
	if len(l) > 15 {
		return strings.Join(l[:15], ", ") + " …"
	}
	return strings.Join(l, ", ")
}

// distance is the number of insertions, deletions, substitutions and swaps of
// neighbours that make b of a (optimal string alignment).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	prev2 := make([]int, len(y)+1)
	prev := make([]int, len(y)+1)
	cur := make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(y)]
}
