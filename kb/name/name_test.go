package name

import (
	"testing"

	"pgregory.net/rapid"
)

func TestFold(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Crème brûlée", "creme brulee"},
		{"Egg-Yolks", "egg yolk"},
		{"  walnut   SHORTBREADS ", "walnut shortbread"},
		{"cream 35 %", "cream 35 %"},
		{"cream 35%", "cream 35 %"},
		{"œufs", "oeuf"},
		{"cherries", "cherry"},
		{"brownies", "browny"},
		{"2 gelatine leaves", "2 gelatine leaf"},
		{"jus", "jus"},
		{"tomatoes", "tomato"},
		{"chef's custard", "chef custard"},
		{"1,5 kg", "1,5 kg"},
		{"x3", "x 3"},
		{"½ pod", "½ pod"},
	} {
		if got := Fold(c.in); got != c.want {
			t.Errorf("Fold(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

// A word and its plural fold alike.
func TestPluralsMeet(t *testing.T) {
	for _, p := range [][2]string{
		{"berry", "berries"}, {"brownie", "brownies"}, {"ganache", "ganaches"}, {"mousse", "mousses"},
		{"potato", "potatoes"}, {"sloe", "sloes"}, {"box", "boxes"}, {"glass", "glasses"}, {"batch", "batches"},
		{"loaf", "loaves"}, {"olive", "olives"}, {"puree", "purees"}, {"leaf", "leaves"}, {"peach", "peaches"},
		{"dish", "dishes"}, {"piece", "pieces"}, {"tuile", "tuiles"}, {"radish", "radishes"}, {"pie", "pies"},
	} {
		if a, b := Fold(p[0]), Fold(p[1]); a != b {
			t.Errorf("%q folds to %q, %q to %q", p[0], a, p[1], b)
		}
	}
}

// Folding twice changes nothing more.
func TestFoldIsIdempotent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[a-zéøß' -]{0,20}`).Draw(t, "s")
		once := Fold(s)
		if twice := Fold(once); twice != once {
			t.Fatalf("%q, %q, %q", s, once, twice)
		}
	})
}
