package swap

import (
	"testing"
)

// twenty is a recipe of 20 lines, all but two of which may move, and forty are what the house has.
func twenty(b *testing.B) (Recipe, []Candidate) {
	l := larder(readLarder(b))
	r := iceCream(b, l)
	for _, n := range []string{"!glucose syrup DE 40", "!cocoa powder", "!pear puree", "!egg", "!honey", "!yoghurt", "!walnuts", "!whole milk powder", "!water",
		"!lactose", "!invert sugar", "!condensed milk"} {
		r.Lines = append(r.Lines, l.line(b, n, "20"))
	}
	in := map[string]bool{}
	for _, line := range r.Lines {
		in[line.Name] = true
	}
	var c []Candidate
	for _, n := range larderNames(l) {
		if !in[n] && len(c) < 40 {
			c = append(c, Candidate{Ingredient: l[n], Allowed: true})
		}
	}
	if len(r.Lines) != 20 || len(c) != 40 {
		b.Fatalf("%d lines, %d candidates", len(r.Lines), len(c))
	}
	return r, c
}

// BenchmarkFind: 20 lines and 40 candidates, from the question to the verified answers.
func BenchmarkFind(b *testing.B) {
	r, c := twenty(b)
	m := []Missing{{Line: 4}}
	w, err := WishesFor(r, m)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Find(r, m, c, w, Options{Scales: houseScales}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSolver: the same, all sets of one, two and three scored and the best of them solved, without reading compositions and verifying.
func BenchmarkSolver(b *testing.B) {
	r, c := twenty(b)
	m := []Missing{{Line: 4}}
	w, err := WishesFor(r, m)
	if err != nil {
		b.Fatal(err)
	}
	s, err := newSearch(r, m, c, w, Options{Scales: houseScales})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		p, err := s.picker()
		if err != nil {
			b.Fatal(err)
		}
		for n := 1; n <= 3; n++ {
			for _, c := range p.size(n) {
				if _, ok := s.draft(c); !ok {
					b.Fatal("not solved")
				}
			}
		}
	}
}

// BenchmarkProof: nothing keeps the wishes, and it is proved.
func BenchmarkProof(b *testing.B) {
	r, c := twenty(b)
	m := []Missing{{Line: 9}} // cocoa
	w, err := WishesFor(r, m)
	if err != nil {
		b.Fatal(err)
	}
	var without []Candidate
	for _, cand := range c {
		if n := cand.Per100(CocoaButter); n.Exact && n.AtMost.IsZero() {
			without = append(without, cand)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		res, err := Find(r, m, without, w, Options{Scales: houseScales})
		if err != nil || res.Proof == nil {
			b.Fatal(err, res.Proof)
		}
	}
}
