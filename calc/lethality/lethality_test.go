package lethality

import (
	"errors"
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tamis/calc/reftable"
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// Stumbo (1973), Singh & Heldman: the shared rows, each worked by this package.
func TestPublished(t *testing.T) {
	text, err := os.ReadFile("testdata/lethality-examples.csv")
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	bot, err := Organism("Clostridium botulinum")
	if err != nil {
		t.Fatal(err)
	}
	d, err1 := Resistance{4.5, 150, 10}.At(160)
	_, twelve, err2 := bot.Run([]Reading{{noon, 121.1}, {noon.Add(time.Duration(2.52 * float64(time.Minute))), 121.1}})
	_, falls, err3 := Resistance{0.5, 70, 7}.Run([]Reading{{noon, 70}, {noon.Add(210 * time.Second), 70}})
	eq, err4 := Equivalent(15, 65, 72, 7)
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		t.Fatal(err)
	}
	got := []float64{d, twelve * 0.21, falls, eq}
	if len(got) != len(tab.Rows) {
		t.Fatalf("%d rows", len(tab.Rows))
	}
	for i, row := range tab.Rows {
		var want float64
		if _, err := fmt.Sscan(row[2], &want); err != nil {
			t.Fatal(err)
		}
		if math.Abs(got[i]-want) > 1e-9*want+1e-9 {
			t.Errorf("%s: %g, published %s", row[0], got[i], row[2])
		}
	}
}

func TestRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Resistance{rapid.Float64Range(0.1, 10).Draw(t, "D"), 70, rapid.Float64Range(4, 12).Draw(t, "z")}
		log := []Reading{{noon, 60}}
		for i := range rapid.IntRange(1, 6).Draw(t, "n") {
			log = append(log, Reading{noon.Add(time.Duration(i+1) * time.Minute), rapid.Float64Range(40, 90).Draw(t, "c")})
		}
		f, falls, err := r.Run(log)
		if err != nil || f < 0 || math.Abs(falls*r.D-f) > 1e-9*f {
			t.Fatal(f, falls, err)
		}
		log[len(log)-1].Celsius += 5
		if g, _, _ := r.Run(log); g < f {
			t.Fatalf("hotter gives less: %g, %g", g, f)
		}
	})
	if _, _, err := (Resistance{1, 70, 7}).Run([]Reading{{noon, 70}}); !errors.Is(err, ErrReadings) {
		t.Error(err)
	}
	if _, err := Organism("anything else"); !errors.Is(err, ErrOrganism) {
		t.Error(err)
	}
	if _, err := (Resistance{1, 70, 0}).At(70); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
}

func ExampleEquivalent() {
	m, err := Equivalent(15, 65, 72, 7)
	fmt.Println(m, err)
	// Output: 1.5 <nil>
}
