package store_test

import (
	"context"
	"fmt"
	"testing"
	"testing/fstest"

	"tamis/kb/store"
)

// A book of two recipes, one of them faulty: the other answers.
func ExampleLoad() {
	files := fstest.MapFS{
		"house.yaml": {Data: []byte("house: Lodehavn\ntime zone: Europe/Oslo\n")},
		"recipes/pear-juice.yaml": {Data: []byte(`recipe: thick pear juice
ingredients:
  - pear juice: 1 kg
method:
  - reduce: over a low flame
    from: 1 kg
    to: 250 g
`)},
		"recipes/glaze.yaml": {Data: []byte(`recipe: pear glaze
ingredients:
  - thick pear juice: 2 dots
`)},
	}
	s, err := store.Load(context.Background(), files)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range s.Recipes {
		fmt.Println(r.Name, "weighs", r.Finished, "g")
	}
	for _, f := range s.Faults {
		fmt.Println(f)
	}
	// Output:
	// thick pear juice weighs 250 g
	// recipes/glaze.yaml:3:5: “thick pear juice” makes no pieces, so “2 dots” of it has no mass. Write: - thick pear juice: 2 dots (25 g each), with the true mass
}

func BenchmarkOpenDemo(b *testing.B) {
	for b.Loop() {
		if _, err := store.OpenDemo(context.Background(), store.Home); err != nil {
			b.Fatal(err)
		}
	}
}
