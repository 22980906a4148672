package allergen_test

import (
	"fmt"
	"strings"

	"tamis/calc/allergen"
)

func pearPlate() *allergen.Node {
	butter := &allergen.Node{Name: "butter", Known: true, Contains: []allergen.Allergen{{Name: allergen.Milk}}}
	brown := &allergen.Node{Name: "brown butter", Children: []*allergen.Node{butter}}
	walnut := &allergen.Node{Name: "walnut", Known: true, Contains: []allergen.Allergen{{Name: allergen.Nuts, Kind: "walnut"}}}
	crumble := &allergen.Node{Name: "crumble", Children: []*allergen.Node{brown, walnut}}
	pear := &allergen.Node{Name: "poached pear", Children: []*allergen.Node{{Name: "pear", Known: true}, {Name: "verjus"}}}
	return &allergen.Node{Name: "pear plate", Children: []*allergen.Node{pear, crumble}}
}

// What the book lists, with the way to it, and what it does not know.
func ExampleRoll() {
	r, _ := allergen.Roll(pearPlate())
	for _, f := range r.Contains {
		fmt.Printf("%s: %s\n", f, strings.Join(f.Ways[0].Path, " → "))
	}
	for _, w := range r.NotKnown {
		fmt.Println("not known:", strings.Join(w.Path, " → "))
	}
	// Output:
	// milk: crumble → brown butter → butter
	// nuts (walnut): crumble → walnut
	// not known: poached pear → verjus
}

// A guest leaves nuts out: the pear is not promised, since nothing is stated of the verjus.
func ExamplePartsWithout() {
	parts, _ := allergen.PartsWithout(pearPlate(), []allergen.Allergen{{Name: allergen.Nuts}})
	for _, p := range parts {
		fmt.Println(p.Name, p.Holding == allergen.Holds, p.Holding == allergen.NotKnown)
	}
	// Output:
	// poached pear false true
	// crumble true false
}

// Under the nine, wheat stands for itself and rye lies outside, and is still told.
func ExampleList_Name() {
	for _, a := range []string{"cereals containing gluten (wheat)", "cereals containing gluten (rye)", "nuts (walnut)"} {
		fmt.Println(allergen.US.Name(allergen.Parse(a)))
	}
	// Output:
	// wheat true
	// cereals containing gluten (rye) false
	// tree nuts (walnut) true
}

// Diets by what is stated only: the recipe's word, else every ingredient's.
func ExampleSuits() {
	leaf := &allergen.Node{Name: "gelatine leaf", SuitsStated: true}
	s, _ := allergen.Suits(&allergen.Node{Name: "set cream", Children: []*allergen.Node{leaf, {Name: "cream"}}}, "vegetarian")
	fmt.Println(s.Verdict == allergen.No, s.Lacks[0].Path, s.Silent[0].Path)
	// Output:
	// true [gelatine leaf] [cream]
}
