package answer_test

import (
	"context"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/reply"
	"tamis/kb"
	"tamis/kb/store"
)

var update = flag.Bool("update", false, "rewrite the replies in testdata/craft")

func demoAsker(t testing.TB) *bot.Asker {
	t.Helper()
	d, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	a, err := bot.NewAsker(func(ctx context.Context) (*kb.Snapshot, error) { return d.Head(ctx, store.Home) })
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// fatal is what a test and a property share.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
}

var evening = time.Date(2026, 3, 14, 20, 0, 0, 0, time.FixedZone("", 3600))

func ask(t fatal, a *bot.Asker, conv string, at time.Time, text string) bot.Reply {
	t.Helper()
	r, err := a.Ask(context.Background(), bot.Message{Conversation: bot.ConversationID(conv), At: at, Text: text})
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return r
}

// TestCraftReplies compares whole replies. Lines that begin with ">" are what a
// cook writes, "> +5 " after so many minutes; a blank line begins another conversation.
func TestCraftReplies(t *testing.T) {
	files, err := filepath.Glob("testdata/craft/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, f := range files {
		t.Run(filepath.Base(f), func(t *testing.T) {
			data, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			want := string(data)
			got := play(t, want)
			if got == want {
				return
			}
			if *update {
				if err := os.WriteFile(f, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
			for i := range min(len(w), len(g)) {
				if w[i] != g[i] {
					t.Fatalf("line %d:\n  %s\nwant\n  %s", i+1, g[i], w[i])
				}
			}
			t.Fatalf("%d lines, want %d", len(g), len(w))
		})
	}
}

func play(t *testing.T, script string) string {
	a := demoAsker(t)
	var out strings.Builder
	conv, at := 0, evening
	for _, l := range strings.Split(strings.TrimRight(script, "\n"), "\n") {
		text, asked := strings.CutPrefix(l, "> ")
		switch {
		case strings.HasPrefix(l, "#"):
			out.WriteString(l + "\n")
		case l == "":
			out.WriteString("\n")
			conv, at = conv+1, evening
		case asked:
			out.WriteString(l + "\n")
			if m, rest, ok := strings.Cut(text, " "); ok && strings.HasPrefix(m, "+") {
				n, err := strconv.Atoi(m[1:])
				if err != nil {
					t.Fatalf("%q: %v", l, err)
				}
				at, text = at.Add(time.Duration(n)*time.Minute), rest
			}
			r := ask(t, a, strconv.Itoa(conv), at, text)
			if loose := looseNumbers(r); len(loose) > 0 {
				t.Errorf("%s: numbers that no fact carries: %v", text, loose)
			}
			for _, f := range r.Facts {
				if f.From == "" || !f.HasItems && f.Value == nil && f.Min == nil && f.Max == nil && f.Time == nil {
					t.Errorf("%s: fact without a value or an origin: %+v", text, f)
				}
			}
			out.WriteString("[" + string(r.Status) + " " + r.About + "]\n" + r.Text + "\n")
		}
	}
	return out.String()
}

var figures = regexp.MustCompile(`\d+(?:[.]\d+)?`)

// looseNumbers are the numbers of a reply's text that no fact, quoted word, choice, caution or assumption carries.
func looseNumbers(r bot.Reply) []string {
	var carried []string
	var values []float64
	for _, f := range r.Facts {
		carried = append(carried, f.Shown, f.What, f.Of, f.Part, f.At, f.Source)
		var m map[string]any
		data, err := json.Marshal(f)
		if err != nil || json.Unmarshal(data, &m) != nil {
			continue
		}
		for _, k := range []string{"value", "min", "max", "plus_minus"} {
			if v, ok := m[k].(float64); ok {
				values = append(values, v)
			}
		}
	}
	carried = append(append(append(carried, r.Words...), r.Reply.Assumed...), r.Choices...)
	carried = append(carried, r.RecipeName, r.Title.Recipe, r.Title.Size, r.Title.Factor)
	for _, c := range r.Reply.Cautions {
		carried = append(carried, c.Text)
	}
	slices.SortFunc(carried, func(a, b string) int { return len(b) - len(a) })
	text := r.Text
	for _, c := range carried {
		if strings.ContainsAny(c, "0123456789") {
			text = strings.ReplaceAll(text, c, " ")
		}
	}
	var loose []string
	for _, l := range strings.Split(text, "\n") {
		for i, s := range figures.FindAllString(l, -1) {
			n, err := strconv.ParseFloat(s, 64)
			if err == nil && (slices.ContainsFunc(values, func(v float64) bool { return math.Abs(v-n) < 1e-9 }) || i == 0 && len(r.Choices) > 0 && n <= float64(len(r.Choices))) {
				continue
			}
			loose = append(loose, s)
		}
	}
	return loose
}

// TestCraftFacts compares the asked fact, the first, with values from outside the project.
func TestCraftFacts(t *testing.T) {
	a := demoAsker(t)
	for _, c := range []struct {
		text, what, unit string
		value, within    float64
		source           string // of the wanted value
	}{
		{"empty pan 930 g, 400 g down to 180 g, reading?", "pan reading", "g", 1110, 0, "common practice"},
		{"1 kg juice at 15 brix down to 50 brix whats the weight", "total", "g", 300, 0, "mass balance"},
		{"reduce 2 kg stock to 600 g, how much boils off", "evaporated", "g", 1400, 0, "mass balance"},
		{"boiling point of a 70 brix syrup", "boiling point", "°C", 106.5, 0.1, "Browne 1912, A Handbook of Sugar Analysis: 6.5 °C above water"},
		{"boiling point of a 78 brix syrup", "boiling point", "°C", 110.6, 0.1, "Browne 1912: 10.6 °C above water"},
		{"what does water boil at at 3050 m", "boiling point", "°C", 90, 0.5, "McGee 2004: 1 °C in each 305 m"},
		{"65 brix in baume", "baumé", "°Bé", 35, 0.31, "Mohos 2010, table A2.1"},
		{"35 brix in baume", "baumé", "°Bé", 19.3, 0.31, "Mohos 2010, table A2.1"},
		{"density of 20 brix syrup", "density", "g/ml", 1.08094, 0.0001, "Plato table, Toruń"},
		{"will a 70 brix syrup crystallise at 20 C", "saturation", "°Bx", 67.09, 0.5, "Mohos 2010, table A2.3 (Sokolovsky 1958)"},
		{"mix 40 and 0 brix to get 200 g at 32 brix", "syrup", "g", 160, 0, "University of Guelph, Standardization problems: 160 and 40"},
		{"10 g gelatine 250 bloom to 200 bloom", "gelatine", "g", 11.18, 0.005, "Gelatin Handbook: factor 1.118"},
		{"10 g gelatine 160 bloom to 200 bloom", "gelatine", "g", 8.94, 0.005, "Gelatin Handbook: factor 0.894"},
		{"how much alcohol is left after simmering 30 min", "alcohol left", "%", 35, 0, "USDA Retention Factors, Release 6"},
		{"alcohol left after simmering 2.5 hours", "alcohol left", "%", 5, 0, "USDA Retention Factors, Release 6"},
		{"alcohol left after flambe", "alcohol left", "%", 75, 0, "USDA Retention Factors, Release 6"},
		{"is 4 g agar right for 400 g water as a fluid gel", "agar", "%", 1, 0, "arithmetic"},
		{"inject 10 % of a 12 % brine into 5 kg ham", "brine", "g", 500, 0, "USDA FSIS 1995: by per cent pump"},
		{"salt for 2 kg cod and 3 l water at 2 % equilibrium", "salt", "g", 102.0408, 0.01, "2 % of all together"},
		{"seed for 2 kg dark chocolate", "seed", "g", 500, 0, "common practice, a quarter"},
	} {
		r := ask(t, a, c.text, evening, c.text)
		if r.Status != answer.StatusAnswer || len(r.Facts) == 0 {
			t.Errorf("%s: %s %s", c.text, r.Status, r.Text)
			continue
		}
		f := r.Facts[0]
		if f.What != c.what || f.Unit != c.unit || f.Value == nil || math.Abs(f.Value.Float()-c.value) > c.within+1e-9 {
			t.Errorf("%s: %s = %s, want %s %v %s ± %v (%s)", c.text, f.What, f.Shown, c.what, c.value, c.unit, c.within, c.source)
		}
	}
}

// TestCraftRefusesAndAsks: a clear word and no number where there is none to give.
func TestCraftRefusesAndAsks(t *testing.T) {
	a := demoAsker(t)
	for _, c := range []struct {
		text   string
		status answer.Status
		words  string
	}{
		{"reduce 600 g stock to 2 kg in the wide pan", answer.StatusUnknown, "only takes away"},
		{"wide pan reads 800, how much to go on the perry reduction", answer.StatusUnknown, "no more than the empty wide pan"},
		{"what does the copper pan read for perry reduction", answer.StatusUnknown, "no copper pan"},
		{"i have another gelatine leaf, how much for the walnut dome", answer.StatusAsk, "Bloom"},
		{"temper chocolate", answer.StatusAsk, "Dark, milk or white"},
		{"how much curing salt for 3 kg pork belly", answer.StatusRefused, "locked to the book"},
		{"can I swap the pink salt for normal salt", answer.StatusRefused, "locked to the book"},
		{"ham without nitrite", answer.StatusRefused, "locked to the book"},
		{"mix 60 and 40 brix to get 1 kg at 80 brix", answer.StatusUnknown, "does not lie between"},
		{"how much gelatine 500 bloom for 10 g 200 bloom", answer.StatusUnknown, "No gelatine has that Bloom"},
	} {
		r := ask(t, a, c.text, evening, c.text)
		if r.Status != c.status || !strings.Contains(r.Text, c.words) {
			t.Errorf("%s: %s %q, want %s with %q", c.text, r.Status, r.Text, c.status, c.words)
		}
		for _, f := range r.Facts {
			if f.Value != nil {
				t.Errorf("%s: gave a number: %s %s", c.text, f.What, f.Shown)
			}
		}
	}
}

// TestAlcoholIsNeverFree: whatever is boiled, nobody is told that it is free of alcohol, and the caution stands there.
func TestAlcoholIsNeverFree(t *testing.T) {
	a := demoAsker(t)
	for _, text := range []string{
		"how much alcohol is left in the perry reduction", "alcohol in the perry reduction", "is there alcohol left in the jus", "alcohol in the butter sauce",
		"750 ml wine 12 % reduced to 250 g, how much alcohol left", "alcohol left after simmering 30 min", "alcohol left after flambe",
	} {
		r := ask(t, a, text, evening, text)
		if r.Status != answer.StatusAnswer {
			t.Errorf("%s: %s %s", text, r.Status, r.Text)
		}
		if strings.Contains(strings.ToLower(r.Text), "free") || regexp.MustCompile(`(?m)^0(\.0+)? (g|%)`).MatchString(r.Text) {
			t.Errorf("%s: said there is none:\n%s", text, r.Text)
		}
		if !slices.ContainsFunc(r.Reply.Cautions, func(c reply.Caution) bool { return c.Code == "alcohol stays" }) {
			t.Errorf("%s: no caution:\n%s", text, r.Text)
		}
	}
}

// TestCitations: every source that answers name stands in the table of sources.
func TestCitations(t *testing.T) {
	data, err := os.ReadFile("../../calc/SOURCES.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]string{}
	for _, l := range strings.Split(string(data), "\n") {
		if p := strings.Split(l, "|"); len(p) > 4 && strings.HasPrefix(strings.TrimSpace(p[1]), "S-") {
			rows[strings.TrimSpace(p[1])] = p[3] + p[4]
		}
	}
	for id, c := range answer.Citations() {
		row, ok := rows[id]
		if !ok {
			t.Errorf("%s is no row of SOURCES.md", id)
			continue
		}
		for _, w := range figures.FindAllString(c, -1) {
			if !strings.Contains(row, w) {
				t.Errorf("%s: %q says %s, the table does not: %s", id, c, w, row)
			}
		}
	}
}

// FuzzCraft asks whatever comes: nothing panics, every number is finite and carried.
func FuzzCraft(f *testing.F) {
	files, err := filepath.Glob("testdata/craft/*.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		for _, l := range strings.Split(string(data), "\n") {
			if text, ok := strings.CutPrefix(l, "> "); ok {
				f.Add(text)
			}
		}
	}
	for _, text := range []string{"reduce 0 g to 0 g in the wide pan", "boiling point of a 200 brix syrup", "seed for 0 kg dark chocolate", "0 brix and 0 brix 0 g mixed",
		"salt for 0 kg cod at 0 % equilibrium", "inject 0 % of a 0 % brine into 0 kg ham", "10 g gelatine 0 bloom to 0 bloom", "0 leaves gelatine in powder", "water boils at 99999999 m",
		"0 ml cream in a 0 l siphon, chargers?", "is 0 g agar right for 0 g juice", "750 ml wine 0 % reduced by half, alcohol?", "750 ml wine 100 % reduced to 1 g, alcohol?"} {
		f.Add(text)
	}
	a := demoAsker(f)
	f.Fuzz(func(t *testing.T, text string) {
		r := ask(t, a, "fuzz", evening, text)
		for _, k := range r.Facts {
			if _, err := json.Marshal(k); err != nil {
				t.Errorf("%q: %+v: %v", text, k, err)
			}
		}
		if r.Status == answer.StatusUnknown || r.Status == answer.StatusRefused {
			for _, k := range r.Facts {
				if k.Value != nil {
					t.Errorf("%q: %s with a number: %s", text, r.Status, k.Shown)
				}
			}
		}
	})
}
