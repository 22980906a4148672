package discord_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tamis/bot"
	"tamis/bot/discord/discordtest"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// madeBook is a book of n recipes with invented names of three or four words.
func madeBook(n int) *kb.Snapshot {
	r := rand.New(rand.NewPCG(7, uint64(n)))
	pick := func(s []string) string { return s[r.IntN(len(s))] }
	on, vo, co := []string{"b", "d", "f", "g", "k", "l", "m", "n", "p", "r", "s", "t", "v", "br", "tr", "pl"}, []string{"a", "e", "i", "o", "u"}, []string{"", "n", "l", "r", "s"}
	words := make([]string, 400)
	for i := range words {
		words[i] = pick(on) + pick(vo) + pick(co) + pick(on) + pick(vo) + pick(co)
	}
	kinds := []string{"tart", "parfait", "crumble", "gel", "cake", "sorbet", "tuile", "jus", "bread", "cream"}
	in := kb.Input{House: &recipe.House{}, Larder: larder.New(nil)}
	for i := range n {
		k := &recipe.Recipe{Pos: recipe.Pos{File: fmt.Sprintf("recipes/%05d.yaml", i), Line: 1}, Name: fmt.Sprintf("%s %s %s %d", words[r.IntN(len(words))], words[i%len(words)], kinds[i/len(words)%len(kinds)], i)}
		k.Lines = []recipe.Line{{Name: "sugar", Amount: recipe.Amount{Kind: recipe.Measured, Lo: quantity.Int(50), Hi: quantity.Int(50), Unit: quantity.G, Text: "50 g"}}}
		in.Recipes = append(in.Recipes, kb.File{Path: k.Pos.File, Recipe: k})
	}
	return kb.Build(context.Background(), in)
}

// BenchmarkAutocomplete types names of a book of 10,000 recipes, whole and in part,
// three in four with a slip, and measures the time from the platform's event to the
// names arriving there. Each part that is typed is a request, as on a phone.
func BenchmarkAutocomplete(b *testing.B) {
	s := madeBook(10000)
	a, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return s, nil })
	if err != nil {
		b.Fatal(err)
	}
	srv := discordtest.Start(b, discordtest.Options{Unchecked: true, GlobalRate: -1, Rate: discordtest.Limit{Requests: 1 << 20, Per: time.Second}, Wait: 30 * time.Second})
	pastry := srv.Guild("Lodehavn")
	c, ada := pastry.Channel("pastry"), pastry.Member("Ada")
	start(b, options(b, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	r := rand.New(rand.NewPCG(1, 2))
	var typed, meant []string
	for i := range 400 {
		name := s.Recipes[r.IntN(len(s.Recipes))].Name
		t := name
		if at := 2 + r.IntN(5); i%4 == 1 { // a letter lost
			t = name[:at] + name[at+1:]
		} else if i%4 == 2 { // two swapped
			t = name[:at] + name[at+1:at+2] + name[at:at+1] + name[at+2:]
		} else if i%4 == 3 { // one too many
			t = name[:at] + "e" + name[at:]
		}
		if i%3 != 0 {
			t = t[:max(1, len(t)*(i%3)/3)]
			name = "" // what was begun may mean many
		}
		typed, meant = append(typed, t), append(meant, name)
	}
	var took []time.Duration
	found, whole := 0, 0
	one := func(i int) {
		it := c.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: typed[i%len(typed)], Focused: true})
		choices := it.Choices()
		took = append(took, it.Answer().Took)
		if want := meant[i%len(typed)]; want != "" {
			whole++
			if slices.ContainsFunc(choices, func(c discordtest.Choice) bool { return c.Value == want }) {
				found++
			}
		}
	}
	for i := range typed {
		one(i)
	}
	for i := 0; b.Loop(); i++ {
		one(i)
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-p50")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms-p99")
	b.ReportMetric(float64(took[len(took)-1].Microseconds())/1000, "ms-longest")
	b.ReportMetric(float64(found)/float64(whole)*100, "%found")
}

// TestUnkindTyping: whatever is typed and whatever the book's names are: 25 names at
// most, of 1 to 100 characters, none twice; and what is picked is what is shown.
func TestUnkindTyping(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, wide)
	files := house(g.Role("chef", 0).ID)
	names := []string{strings.Repeat("very ", 40) + "long tart", strings.Repeat("very ", 40) + "long cake", strings.Repeat("é", 150), strings.Repeat("👩‍🍳 ", 60) + "tart"}
	for i := range 40 {
		names = append(names, fmt.Sprintf("pear tart of day %s", strings.Repeat("i", i+1)))
	}
	for i, n := range names {
		files[fmt.Sprintf("recipes/n%02d.yaml", i)] = fmt.Sprintf("recipe: %s\ningredients:\n  - flour: %d g\n", yamlText(n), 1000+7*i)
	}
	a, _ := bookAsker(t, files)
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	for i, typed := range []any{"", " ", "pear", "tart", "é", "very very", strings.Repeat("very ", 20), strings.Repeat("x", 100), strings.Repeat("pear tart ", 600), "(((", "\\", "*", "%", "[a-z]+", "' OR 1=1", "\u202e", "\u0000", "@everyone",
		"<@&1>", "👩‍🍳", strings.Repeat("é", 100), "prea trat", "\xff", 5, true, nil, map[string]any{"x": 1}, []any{"pear"}} {
		it := pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: typed, Focused: true})
		choices := it.Choices()
		if len(choices) > 25 {
			t.Errorf("%d names for %.40q", len(choices), typed)
		}
		seen := map[string]bool{}
		for _, c := range choices {
			v, _ := c.Value.(string)
			if n := utf8.RuneCountInString(c.Name); n < 1 || n > 100 || utf8.RuneCountInString(v) > 100 || v == "" || !utf8.ValidString(c.Name) {
				t.Errorf("for %.40q: %q, %q", typed, c.Name, v)
			}
			if seen[c.Name] {
				t.Errorf("for %.40q twice: %q", typed, c.Name)
			}
			seen[c.Name] = true
		}
		if i == 2 && len(choices) != 25 {
			t.Errorf("%d names for %q", len(choices), typed)
		}
	}
	for i, n := range names[:4] { // a name that had to be cut still is that recipe's
		it := pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: n[:len("very very very ")], Focused: true})
		for _, c := range it.Choices() {
			if v, _ := c.Value.(string); strings.HasPrefix(n, v) {
				m := pastry.Slash(ada, "recipe", discordtest.Opt{Name: "name", Value: v}).Message()
				if !strings.Contains(m.Text(), fmt.Sprintf("%d g", 1000+7*i)) && !strings.Contains(m.Text(), "?") {
					t.Errorf("%.30q… is shown as: %.200s", n, m.Text())
				}
			}
		}
	}
}
