package question

import "slices"

// mark adds a span to the signature of a covering.
func mark(sig uint64, s *span) uint64 {
	if s.kind == spanCue || s.kind == spanUnused {
		return sig
	}
	const prime = 1099511628211
	for _, v := range [4]uint64{uint64(s.kind), uint64(s.from), uint64(s.to), uint64(s.cost)} {
		sig = (sig ^ (v + 0x9e37)) * prime
	}
	for i := range len(s.note) {
		sig = (sig ^ uint64(s.note[i])) * prime
	}
	return sig
}

// prune keeps the best step of each signature, and of those the n best.
func prune(steps []step, n int) []step {
	slices.SortStableFunc(steps, func(a, b step) int {
		switch {
		case a.cheaper(&b):
			return -1
		case b.cheaper(&a):
			return 1
		}
		return 0
	})
	out := steps[:0]
	for i := range steps {
		if len(out) == n {
			break
		}
		if !slices.ContainsFunc(out, func(o step) bool { return o.sig == steps[i].sig }) {
			out = append(out, steps[i])
		}
	}
	return out
}
