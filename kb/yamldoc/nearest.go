package yamldoc

import (
	"strings"

	"tamis/kb/name"
)

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
		d, ok := name.Slips(w, l, longest)
		if !ok {
			d = 1 << 29
		}
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
