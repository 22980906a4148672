package swap

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Nothing in the house sets: gelatine cannot be replaced, and it is the gel that blocks.
func TestProofNamesWhatBlocks(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "!cream 35 %", "500", "!milk", "200", "!sugar", "80", "gelatine leaf", "9")
	m := []Missing{{Line: 3}}
	res := find(t, r, m, l.candidates(t, "water", "skimmed milk powder", "egg white", "cornstarch"), wishes(t, r, m), Options{Scales: houseScales})
	if res.Proof == nil {
		t.Fatalf("no proof; offers %v", res.Offers)
	}
	if diff := cmp.Diff([]Function{GelStrength}, res.Proof.Blocks); diff != "" {
		t.Errorf("blocks (-want +have):\n%s", diff)
	}
	for _, o := range res.Offers {
		if o.Kept || !slices.Contains(o.Lost, GelStrength) {
			t.Errorf("%v is said to keep the gel", now(o))
		}
	}
	// with a weaker gelatine in the house it works, and nothing is proved
	res = find(t, r, m, l.candidates(t, "water", "silver gelatine leaf"), wishes(t, r, m), Options{Scales: houseScales})
	o := res.Offers[0]
	if e := effect(t, o, GelStrength); res.Proof != nil || !o.Kept || now(o)["silver gelatine leaf"] == "" || num("2").Less(e.Percent.Abs()) {
		t.Errorf("silver for gold: %v, gel %s %%, proof %+v", now(o), e.Percent, res.Proof)
	}
}

// Two wishes that cannot be met together: all the fat and none of the water of butter, from milk alone.
func TestProofOfAConflict(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "butter", "100", "plain flour", "100")
	keep := []Wish{{What: Fat, Tolerance: num("0.02")}, {What: Water, Tolerance: num("0.02")}}
	res := find(t, r, []Missing{{Line: 0}}, l.candidates(t, "cream 35 %", "milk"), keep, Options{Scales: houseScales})
	if res.Proof == nil || len(res.Proof.Conflict) == 0 {
		t.Fatalf("proof %+v", res.Proof)
	}
	res = find(t, r, []Missing{{Line: 0}}, l.candidates(t, "clarified butter", "water"), keep, Options{Scales: houseScales})
	if o := res.Offers[0]; !o.Kept || res.Proof != nil {
		t.Errorf("clarified butter and water: %v, lost %v", now(o), o.Lost)
	}
}

func TestNobodyMayComeIn(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "butter", "100", "plain flour", "100")
	m := []Missing{{Line: 0}}
	c := l.candidates(t, "clarified butter", "water")
	c[0].Allowed, c[1].Unknown = false, true
	res := find(t, r, m, c, wishes(t, r, m), Options{})
	if len(res.Offers) > 0 || res.Proof == nil || !slices.Contains(res.Proof.Conflict, Fat) || !res.TooLittle {
		t.Errorf("offers %v, proof %+v, too little %v", res.Offers, res.Proof, res.TooLittle)
	}
	want := []Skip{{Name: "clarified butter", Reason: NotAllowed}, {Name: "water", Reason: NotKnown}}
	if diff := cmp.Diff(want, res.Skipped); diff != "" {
		t.Error(diff)
	}
}

// Where a proof is given, no mixture drawn at random keeps what it says cannot be kept; where an offer keeps it, there is no proof.
func TestProofsAreTrue(t *testing.T) {
	l := larder(readLarder(t))
	names := larderNames(l)
	proofs := 0
	rapid.Check(t, func(t *rapid.T) {
		r, m, cands := drawRecipe(t, l, names)
		var keep []Wish
		for _, f := range []Function{Water, Fat, Sugars, Sweetness, Protein, Salt} {
			if rapid.Bool().Draw(t, f.String()) {
				keep = append(keep, Wish{What: f, Tolerance: quantity.Frac(int64(rapid.IntRange(1, 40).Draw(t, "tolerance")), 100)})
			}
		}
		s, err := newSearch(r, m, cands, keep, Options{Scales: houseScales})
		if errors.Is(err, ErrUnknown) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		p := s.prove()
		if p == nil || len(s.actors) == 0 {
			return
		}
		proofs++
		for range 40 {
			weights := make([]float64, len(s.actors))
			var sum float64
			for j := range weights {
				weights[j] = math.Pow(rapid.Float64Range(0, 1).Draw(t, "weight"), 3)
				sum += weights[j]
			}
			if sum == 0 {
				continue
			}
			total := s.gap.Float()
			for _, a := range s.actors {
				total += a.start.Float()
			}
			kept := true
			for i := range s.wishes {
				if s.scale[i] == 0 {
					continue
				}
				off := -s.b[i]
				for j, a := range s.actors {
					x := total * weights[j] / sum
					if a.most != nil && x > a.most.Float() {
						kept = false
					}
					off += s.a[i][j] * (x - a.start.Float())
				}
				// what is not known counts for the mixture: only exact functions are judged here
				if math.Abs(off) > s.tol[i]-1e-9 {
					kept = false
				}
			}
			if kept {
				t.Fatalf("a mixture keeps what was proved impossible: %+v, %v", p, weights)
			}
		}
	})
	if proofs == 0 {
		t.Error("nothing was ever proved")
	}
}

func TestLocks(t *testing.T) {
	l := larder(readLarder(t))
	for _, lock := range Locks() {
		r := l.recipe(t, "salt", "20", "sugar", "10", "water", "970")
		r.Lines[0].Lock = lock
		_, err := Find(r, []Missing{{Line: 0}}, l.candidates(t, "sugar"), []Wish{{What: Salt}}, Options{})
		var locked *LockedError
		if !errors.Is(err, ErrLocked) || !errors.As(err, &locked) || locked.Reason != lock || locked.Line != "salt" {
			t.Errorf("%s: %v", lock, err)
		}
		if _, err := WishesFor(r, []Missing{{Line: 0}}); !errors.Is(err, ErrLocked) {
			t.Errorf("%s: wishes: %v", lock, err)
		}
		// a locked line is not moved either, nor topped up as a candidate
		r.Lines[0].Move = true
		res := find(t, r, []Missing{{Line: 1}}, l.candidates(t, "salt", "honey"), []Wish{{What: Sugars}}, Options{Scales: houseScales})
		for _, o := range res.Offers {
			if _, moved := now(o)["salt"]; moved {
				t.Errorf("%s: salt moved in %v", lock, now(o))
			}
		}
		if diff := cmp.Diff([]Skip{{Name: "salt", Reason: LockedFast}}, res.Skipped); diff != "" {
			t.Errorf("%s: %s", lock, diff)
		}
		short, err := Short(r, 0, num("10"))
		if err != nil || short.Lock != lock {
			t.Errorf("%s: short of it: %+v, %v", lock, short, err)
		}
	}
}

func TestFindErrors(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "butter", "100", "plain flour", "100")
	neg := num("-1")
	fat := []Wish{{What: Fat}}
	for _, c := range []struct {
		name    string
		missing []Missing
		cands   []Candidate
		keep    []Wish
		o       Options
		want    error
	}{
		{"nothing missing", nil, nil, fat, Options{}, ErrNothing},
		{"no such line", []Missing{{Line: 2}}, nil, fat, Options{}, ErrLine},
		{"twice", []Missing{{Line: 0}, {Line: 0}}, nil, fat, Options{}, ErrLine},
		{"more left than there was", []Missing{{Line: 0, Left: num("100")}}, nil, fat, Options{}, ErrMass},
		{"less than nothing left", []Missing{{Line: 0, Left: neg}}, nil, fat, Options{}, ErrMass},
		{"candidate twice", []Missing{{Line: 0}}, l.candidates(t, "water", "water"), fat, Options{}, ErrTwice},
		{"less than nothing of a candidate", []Missing{{Line: 0}}, []Candidate{{Ingredient: l["water"], Allowed: true, Left: &neg}}, fat, Options{}, ErrMass},
		{"a wish twice", []Missing{{Line: 0}}, nil, []Wish{{What: Fat}, {What: Fat}}, Options{}, ErrWish},
		{"a weight below 0", []Missing{{Line: 0}}, nil, []Wish{{What: Fat, Weight: -1}}, Options{}, ErrWish},
		{"a tolerance below 0", []Missing{{Line: 0}}, nil, []Wish{{What: Fat, Tolerance: neg}}, Options{}, ErrWish},
		{"no such function", []Missing{{Line: 0}}, nil, []Wish{{What: NumFunctions}}, Options{}, ErrWish},
		{"four changes", []Missing{{Line: 0}}, nil, fat, Options{Changes: 4}, ErrWish},
		{"no wish", []Missing{{Line: 0}}, nil, nil, Options{}, ErrUnknown},
	} {
		if _, err := Find(r, c.missing, c.cands, c.keep, c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	r.Lines[0].Comp = Ingredient{}.Comp
	if _, err := Find(r, []Missing{{Line: 0}}, nil, []Wish{{What: Fat, Tolerance: num("0.1")}}, Options{}); !errors.Is(err, ErrUnknown) {
		t.Errorf("an unknown ingredient: %v", err)
	}
	long := Recipe{Lines: make([]Line, MaxLines+1)}
	if _, err := Find(long, []Missing{{Line: 0}}, nil, fat, Options{}); !errors.Is(err, ErrTooMany) {
		t.Errorf("a long recipe: %v", err)
	}
}

// gonum's simplex panics on shapes that do not fit: here it is an error.
func TestSimplexNeverPanics(t *testing.T) {
	if _, _, err := simplex([]float64{1}, mat.NewDense(2, 1, []float64{1, 1}), []float64{1, 1}, nil); !errors.Is(err, errProgram) {
		t.Errorf("more rows than columns: %v", err)
	}
	if _, _, err := simplex([]float64{1, 1}, mat.NewDense(1, 2, []float64{1, 0}), []float64{1}, nil); !errors.Is(err, errProgram) {
		t.Errorf("a column of zeros: %v", err)
	}
	if _, _, err := simplex([]float64{-1, 0}, mat.NewDense(1, 2, []float64{-1, 1}), []float64{1}, []int{1}); !errors.Is(err, errProgram) {
		t.Errorf("no end: %v", err)
	}
}

// What is not known is neither said to be kept nor proved to be impossible.
func TestUnknownIsNeitherKeptNorProved(t *testing.T) {
	whole := mix.Composition{}.With(mix.Fat, num("40")).With(mix.Water, num("60"))
	vague := mix.Composition{}.With(mix.Water, num("65")) // fat anywhere from 0 to 35
	r := Recipe{Lines: []Line{{Ingredient: Ingredient{Name: "cream", Comp: whole}, Mass: hundred}}}
	c := []Candidate{{Ingredient: Ingredient{Name: "plant cream", Comp: vague}, Allowed: true}}
	for _, tc := range []struct {
		tolerance string
		proved    bool
	}{{"0.5", false}, {"0.44", false}} {
		res := find(t, r, []Missing{{Line: 0}}, c, []Wish{{What: Fat, Tolerance: num(tc.tolerance)}, {What: Water}}, Options{})
		if (res.Proof != nil) != tc.proved || len(res.Offers) != 1 || res.Offers[0].Kept || !slices.Contains(res.Offers[0].Unsure, Fat) {
			t.Errorf("within %s: %+v, proof %+v", tc.tolerance, res.Offers, res.Proof)
		}
	}
	// known to lie below, it is proved: at most 35 of 40 is more than 10 % off
	s, err := newSearch(r, []Missing{{Line: 0}}, c, []Wish{{What: Fat, Tolerance: num("0.5")}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s.wishes[0].Tolerance = num("0.1")
	if p := s.prove(); p == nil || !slices.Equal(p.Blocks, []Function{Fat}) {
		t.Errorf("at most 35 g of fat for 40: %+v", p)
	}
	s.wishes[0].Tolerance = num("0.13")
	if p := s.prove(); p != nil {
		t.Errorf("35 g of fat may be within 13 %% of 40: %+v", p)
	}
	rows := s.halfspaces()
	if s.certain(rows, make([]float64, len(rows))) {
		t.Error("no wishes prove something")
	}
}
