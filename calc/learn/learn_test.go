package learn

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

func mins(ns ...int64) (out []quantity.Number) {
	for _, n := range ns {
		out = append(out, quantity.Int(n))
	}
	return out
}

func TestOf(t *testing.T) {
	for _, c := range []struct {
		in   []quantity.Number
		want string
		err  error
	}{
		{mins(260, 280, 300), "3: 260 280 300", nil},
		{mins(300, 260, 280, 290), "4: 260 285 300", nil},
		{mins(260, 280), "", ErrFew},
		{nil, "", ErrFew},
		{mins(260, 0, 280), "", ErrTime},
		{mins(260, -5, 280), "", ErrTime},
	} {
		s, err := Of(c.in)
		if !errors.Is(err, c.err) {
			t.Errorf("%v: %v", c.in, err)
		}
		if got := fmt.Sprintf("%d: %s %s %s", s.N, s.Least, s.Middle, s.Longest); err == nil && got != c.want {
			t.Errorf("%v: %s, want %s", c.in, got, c.want)
		}
	}
}

func TestAgainst(t *testing.T) {
	n := func(v int64) *quantity.Number { q := quantity.Int(v); return &q }
	s, err := Of(mins(260, 280, 300))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		least, longest *quantity.Number
		want           Against
	}{
		{nil, nil, Unknown}, {n(360), nil, Quicker}, {n(200), nil, Within}, {n(270), nil, Mixed}, {n(300), nil, Mixed}, {n(260), n(300), Within},
		{n(100), n(200), Slower}, {nil, n(120), Slower}, {nil, n(290), Mixed}, {n(250), n(250), Slower}, {n(301), n(400), Quicker},
	} {
		if got := s.Against(c.least, c.longest); got != c.want {
			t.Errorf("%v %v: %q, want %q", c.least, c.longest, got, c.want)
		}
	}
	if (Summary{}).Against(n(1), n(2)) != Unknown {
		t.Error("nothing was learned from nothing")
	}
}

// The order told does not matter, a middle lies between the ends, and a trial inside them moves neither.
func TestOrderAndBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.SliceOfN(rapid.Int64Range(1, 5000), 3, 20).Draw(t, "minutes")
		s, err := Of(mins(in...))
		if err != nil {
			t.Fatal(err)
		}
		if s.Middle.Less(s.Least) || s.Longest.Less(s.Middle) {
			t.Fatalf("%s is not between %s and %s", s.Middle, s.Least, s.Longest)
		}
		p, err := Of(mins(rapid.Permutation(in).Draw(t, "order")...))
		if err != nil || p.N != s.N || !p.Least.Equal(s.Least) || !p.Middle.Equal(s.Middle) || !p.Longest.Equal(s.Longest) {
			t.Fatal("the order counts")
		}
		more, err := Of(append(mins(in...), s.Middle))
		if err != nil || !more.Least.Equal(s.Least) || !more.Longest.Equal(s.Longest) {
			t.Fatal("a trial in the middle moved an end")
		}
	})
}

// Three batches of a dome that was hard after 4 h 20, 4 h 40 and 5 h, against the book's "at least 6 h".
func ExampleOf() {
	s, err := Of(mins(260, 280, 300))
	if err != nil {
		fmt.Println(err)
		return
	}
	book := quantity.Int(360)
	fmt.Println(s.N, s.Least, s.Longest, s.Against(&book, nil))
	// Output:
	// 3 260 300 quicker
}
