package bot

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// madeSnapshot is a book of n made recipes with pronounceable names, each of 8
// lines, a method and what it keeps; the same for the same n.
func madeSnapshot(n int) *kb.Snapshot {
	r := rand.New(rand.NewPCG(7, uint64(n)))
	pick := func(s []string) string { return s[r.IntN(len(s))] }
	on, vo, co := []string{"b", "d", "f", "g", "k", "l", "m", "n", "p", "r", "s", "t", "v", "br", "tr", "pl"}, []string{"a", "e", "i", "o", "u"}, []string{"", "n", "l", "r", "s"}
	words := make([]string, 400)
	for i := range words {
		words[i] = pick(on) + pick(vo) + pick(co) + pick(on) + pick(vo) + pick(co)
		if i%2 == 0 {
			words[i] += pick(on) + pick(vo)
		}
	}
	kinds := []string{"tart", "parfait", "crumble", "gel", "cake", "sorbet", "tuile", "jus", "bread", "cream"}
	foods := []string{"butter", "sugar", "egg yolk", "milk", "salt", "flour", "walnut", "honey", "rye flour", "cream 35 %", "agar", "pear"}
	in := kb.Input{House: &recipe.House{Scales: []recipe.Scale{{Name: "bench", Reads: quantity.Grams(quantity.Int(1)), UpTo: quantity.Of(quantity.Int(6), quantity.KG)}}}, Larder: larder.New(nil)}
	for i := range n {
		file := fmt.Sprintf("recipes/%06d.yaml", i)
		k := &recipe.Recipe{Pos: recipe.Pos{File: file, Line: 1}, Name: fmt.Sprintf("%s %s %s", words[r.IntN(len(words))], words[i%len(words)], kinds[i/len(words)%len(kinds)])}
		if i >= len(words)*len(kinds) {
			k.Name += fmt.Sprintf(" %s", words[i/len(words)/len(kinds)%len(words)])
		}
		for j := range 8 {
			g := int64(50 + r.IntN(400))
			f := foods[(i+j)%len(foods)]
			k.Lines = append(k.Lines, recipe.Line{Name: f, Amount: recipe.Amount{Kind: recipe.Measured, Lo: quantity.Int(g), Hi: quantity.Int(g), Unit: quantity.G, Text: fmt.Sprintf("%d g", g)}})
		}
		m := quantity.Int(20)
		k.Method = []recipe.Step{{Verb: "bake", For: &recipe.Span{Text: "20 min", Exact: &m}, At: &recipe.Place{Text: "160 °C", Temperature: &quantity.Quantity{N: quantity.Int(160), Unit: quantity.Celsius}}}}
		d := quantity.Of(quantity.Int(3), quantity.Day)
		k.Keeps = []recipe.Keep{{Text: "3 days in fridge", Time: &d, Where: "fridge"}}
		in.Recipes = append(in.Recipes, kb.File{Path: file, Recipe: k})
	}
	return kb.Build(context.Background(), in)
}

// madeQuestions asks of recipes all over the book, one in four with a slip.
func madeQuestions(s *kb.Snapshot) []string {
	r := rand.New(rand.NewPCG(1, 2))
	forms := []string{"how much sugar for 3x %s", "%s x2 butter and salt?", "how long does the %s keep", "oven temp and time %s", "2.5 kg %s", "half batch of %s everything",
		"only 300 g butter left, %s, how much flour", "allergens in %s", "how many grams of milk in the %s please", "does the %s contain nuts", "what goes in the %s", "cost of one %s"}
	var out []string
	for i := range 240 {
		name := s.Recipes[r.IntN(len(s.Recipes))].Name
		if i%4 == 3 { // one letter lost
			k := 2 + r.IntN(4)
			name = name[:k] + name[k+1:]
		}
		out = append(out, fmt.Sprintf(forms[i%len(forms)], name))
	}
	return out
}

func benchmarkAsk(b *testing.B, n int) {
	s := madeSnapshot(n)
	k, err := NewAsker(func(context.Context) (*kb.Snapshot, error) { return s, nil })
	if err != nil {
		b.Fatal(err)
	}
	qs := madeQuestions(s)
	at := time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC)
	ask := func(i int) Reply {
		r, err := k.Ask(context.Background(), Message{Conversation: ConversationID(fmt.Sprint(i)), At: at, Text: qs[i%len(qs)], Role: Commis})
		if err != nil {
			b.Fatal(err)
		}
		return r
	}
	answered := 0
	for i := range qs { // warm: indexes that are made when first used
		if ask(i).Status == "answer" {
			answered++
		}
	}
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m) // the book and all that understands questions of it
	var took []time.Duration
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		t := time.Now()
		ask(i)
		took = append(took, time.Since(t))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "µs-median")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "µs-p99")
	b.ReportMetric(float64(m.HeapAlloc>>10)/1024, "MB-held")
	b.ReportMetric(float64(answered)/float64(len(qs))*100, "%answered")
}

func BenchmarkAsk300(b *testing.B)    { benchmarkAsk(b, 300) }
func BenchmarkAsk10000(b *testing.B)  { benchmarkAsk(b, 10000) }
func BenchmarkAsk100000(b *testing.B) { benchmarkAsk(b, 100000) }
