package diff

import (
	"slices"
	"strings"
)

// Merge puts what mine changed of base into theirs, by lines. ok is false where
// both changed the same lines and not to the same; then nothing is merged.
func Merge(base, mine, theirs string) (merged string, ok bool) {
	b, m, t := linesOf(base), linesOf(mine), linesOf(theirs)
	toMine, toTheirs := matches(b, m), matches(b, t)
	var out []string
	i, j, k := 0, 0, 0
	for {
		n := i // the next line of base that both kept
		for n < len(b) && (toMine[n] < 0 || toTheirs[n] < 0) {
			n++
		}
		endM, endT := len(m), len(t)
		if n < len(b) {
			endM, endT = toMine[n], toTheirs[n]
		}
		part, ok := mergePart(b[i:n], m[j:endM], t[k:endT])
		if !ok {
			return "", false
		}
		out = append(out, part...)
		if n == len(b) {
			return strings.Join(out, ""), true
		}
		out = append(out, b[n])
		i, j, k = n+1, endM+1, endT+1
	}
}

// mergePart merges lines between two that both kept. Lines that were only
// replaced, one by one, are merged one by one: two neighbours may be changed by
// two hands.
func mergePart(b, m, t []string) ([]string, bool) {
	switch {
	case slices.Equal(m, t), slices.Equal(t, b):
		return m, true
	case slices.Equal(m, b):
		return t, true
	case len(b) != len(m) || len(b) != len(t):
		return nil, false
	}
	var out []string
	for i := range b {
		switch {
		case m[i] == t[i], t[i] == b[i]:
			out = append(out, m[i])
		case m[i] == b[i]:
			out = append(out, t[i])
		default:
			return nil, false
		}
	}
	return out, true
}

// Lines returns the lines that went and those that came, in order, without their ends.
func Lines(was, now string) (gone, come []string) {
	a, b := linesOf(was), linesOf(now)
	kept := make([]bool, len(b))
	for i, j := range matches(a, b) {
		if j < 0 {
			gone = append(gone, strings.TrimRight(a[i], "\r\n"))
		} else {
			kept[j] = true
		}
	}
	for j, k := range kept {
		if !k {
			come = append(come, strings.TrimRight(b[j], "\r\n"))
		}
	}
	return gone, come
}

func linesOf(s string) []string {
	return slices.DeleteFunc(strings.SplitAfter(s, "\n"), func(l string) bool { return l == "" })
}

// mostCells bounds the table of matches; beyond it only the lines at both ends
// that are the same are matched.
const mostCells = 16 << 20

// matches gives for every line of a its line of b in the longest common run of lines, or -1.
func matches(a, b []string) []int {
	out := make([]int, len(a))
	for i := range out {
		out[i] = -1
	}
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		out[head] = head
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		out[len(a)-1-tail] = len(b) - 1 - tail
		tail++
	}
	x, y := a[head:len(a)-tail], b[head:len(b)-tail]
	if len(x)*len(y) > mostCells {
		return out
	}
	w := len(y) + 1
	most := make([]int32, (len(x)+1)*w)
	for i := len(x) - 1; i >= 0; i-- {
		for j := len(y) - 1; j >= 0; j-- {
			if x[i] == y[j] {
				most[i*w+j] = most[(i+1)*w+j+1] + 1
			} else {
				most[i*w+j] = max(most[(i+1)*w+j], most[i*w+j+1])
			}
		}
	}
	for i, j := 0, 0; i < len(x) && j < len(y); {
		switch {
		case x[i] == y[j]:
			out[head+i] = head + j
			i, j = i+1, j+1
		case most[(i+1)*w+j] >= most[i*w+j+1]:
			i++
		default:
			j++
		}
	}
	return out
}
