package kb_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"tamis/kb"
)

// Many recipes are finished at the same time; however many hands there are, the
// book is the same: links over several levels, circles, faults, names that are
// unknown, variants.
func TestManyHandsMakeTheSameBook(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	for range 4 {
		fsys := fstest.MapFS{"house.yaml": {Data: []byte("house: Lodehavn\npans: [{name: wide pan, empty: 870 g, holds: 1 l}]\nmoulds: [{name: dome 45, cells: 24, volume: 38 ml, count: 4}]\n")}}
		for i := range 400 {
			var b strings.Builder
			fmt.Fprintf(&b, "recipe: dish %d\nalso: [plate %d]\n", i, i%390)
			if i%40 == 7 {
				fmt.Fprintf(&b, "based on: dish %d\nchange: {pear: %d g}\n", i-1, 1+r.IntN(900))
			} else {
				fmt.Fprintf(&b, "makes: %s\ningredients:\n  - pear: %d g\n  - %s: 2 leaves\n", []string{"20 pieces of 50 g", "fill 24 of dome 45", "900 g"}[r.IntN(3)], 1+r.IntN(900), []string{"gelatine", "sorel", "wallnut"}[r.IntN(3)])
				if i > 0 && r.IntN(3) > 0 {
					fmt.Fprintf(&b, "  - dish %d: %s\n", r.IntN(i), []string{"40 g", "2 pieces", "3 slabs"}[min(r.IntN(9), 2)*r.IntN(2)])
				}
				if r.IntN(60) == 0 {
					fmt.Fprintf(&b, "  - dish %d: 10 g\n", r.IntN(400))
				}
				fmt.Fprintf(&b, "method:\n  - boil: all of it\n    in: wide pan\n    from: %d g\n    to: 300 g\n", 200+r.IntN(400))
			}
			fsys[fmt.Sprintf("recipes/%03d.yaml", i)] = &fstest.MapFile{Data: []byte(b.String())}
		}
		in := input(fsys)
		had := runtime.GOMAXPROCS(1)
		want := told(kb.Build(context.Background(), in))
		for _, hands := range []int{2, 8} {
			runtime.GOMAXPROCS(hands)
			if d := cmp.Diff(want, told(kb.Build(context.Background(), in))); d != "" {
				t.Errorf("%d hands: %.2000s", hands, d)
			}
		}
		runtime.GOMAXPROCS(had)
		s := kb.Build(context.Background(), in)
		if len(s.Recipes) < 100 || len(s.Out) < 20 || len(s.Warnings) < 100 {
			t.Errorf("%d recipes, %d out, %d warnings: too plain a book", len(s.Recipes), len(s.Out), len(s.Warnings))
		}
	}
}
