package yamldoc

import "strings"

// Nearest returns the one of known that word most likely means, or "" if none
// is near: at most a third of its letters differ. The first of equals wins.
func Nearest(word string, known []string) string {
	const longest = 60 // nothing that a book knows is longer; bounds the work
	w := strings.ToLower(strings.TrimSpace(word))
	if w == "" || len(w) > longest {
		return ""
	}
	best, at := "", 1<<30
	for _, k := range known {
		l := strings.ToLower(k)
		d := distance([]rune(w), []rune(l))
		if strings.ReplaceAll(w, "-", " ") == l || strings.ReplaceAll(w, "_", " ") == l || strings.ReplaceAll(l, " ", "") == w {
			d = 0
		}
		if d < at {
			best, at = k, d
		}
	}
	if at*3 > max(len([]rune(w)), 3) {
		return ""
	}
	return best
}

// distance is the number of letters to put in, take out, change or swap with
// their neighbour to make b of a (optimal string alignment).
func distance(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
