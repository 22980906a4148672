package spoil

import (
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"

	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// each is how many times a kind is tried.
const each = 120

func allKinds() []kind {
	return slices.Concat(slotKinds(), signKinds(), numberKinds(), wordKinds(), plainKinds(), markupKinds(), laterKinds())
}

// tally counts what the check said of one kind.
type tally struct {
	attacks, through, known, twins, kept int
	examples                             []string // what came through
	refused                              []string // twins that were kept back
}

func verify(d good, draft string) (string, error) {
	p, err := phrase.Verify(d.body, phrase.Draft(draft), d.of.names)
	return p.Text(), err
}

// lines reads a list of what is known, one a line.
func lines(t *testing.T, name string) map[string]bool {
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]bool{}
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimRight(line, "\n"); line != "" && !strings.HasPrefix(line, "#") {
			out[line] = true
		}
	}
	return out
}

// none is whether an error is a proper refusal.
func none(t *testing.T, err error) bool {
	var r *phrase.Rejected
	if !errors.As(err, &r) || r.Reason == phrase.ReasonNone {
		t.Errorf("refused without a reason: %v", err)
		return false
	}
	return true
}

var digit = regexp.MustCompile(`\pN`)

// faithful reports whether a wording says each slot once, word for word, and
// holds no digit besides.
func faithful(d good, text string) error {
	for _, s := range slices.SortedFunc(slices.Values(d.body.Slots), func(a, b reply.Slot) int { return len(b.Text) - len(a.Text) }) {
		if !strings.Contains(text, s.Text) {
			return fmt.Errorf("%q is not in it", s.Text)
		}
		text = strings.Replace(text, s.Text, "", 1)
	}
	if x := digit.FindString(text); x != "" {
		return fmt.Errorf("%q stands outside the slots", x)
	}
	return nil
}

// TestAttacks spoils good drafts in every way; none may come through, and of
// what is legitimate hardly any may be kept back.
func TestAttacks(t *testing.T) {
	d, kinds, through := newDrawer(t), allKinds(), lines(t, "through.txt")
	seen := map[string]bool{}
	var all tally
	var rows strings.Builder
	table := tabwriter.NewWriter(&rows, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "kind\tattacks\tthrough\tof these known\ttwins\tkept back")
	for i, k := range kinds {
		if seen[k.name] {
			t.Fatalf("two kinds are named %q", k.name)
		}
		seen[k.name] = true
		one := k.try(t, d, through, rand.New(rand.NewPCG(11, uint64(i))))
		fmt.Fprintf(table, "%s\t%d\t%d\t%d\t%d\t%d\n", k.name, one.attacks, one.through, one.known, one.twins, one.kept)
		all.attacks += one.attacks
		all.through += one.through
		all.known += one.known
		all.twins += one.twins
		all.kept += one.kept
		all.examples = append(all.examples, one.examples...)
		all.refused = append(all.refused, one.refused...)
	}
	fmt.Fprintf(table, "%d kinds\t%d\t%d\t%d\t%d\t%d\n", len(kinds), all.attacks, all.through, all.known, all.twins, all.kept)
	_ = table.Flush()
	t.Logf("\n%s", rows.String())
	for _, e := range all.refused {
		t.Log("kept back: " + e)
	}
	if len(kinds) < 40 || all.attacks < 10_000 {
		t.Errorf("%d kinds, %d attacks: too few", len(kinds), all.attacks)
	}
	if n := all.through - all.known; n > 0 {
		t.Errorf("%d attacks came through:\n%s", n, strings.Join(all.examples, "\n"))
	}
	if 100*all.kept > 2*all.twins {
		t.Errorf("%d of %d benign twins were kept back", all.kept, all.twins)
	}
}

// spoiling is what a spoiled draft says that the good one does not: words, or
// signs where it holds no other words.
func spoiling(text, bad string) string {
	words := func(text string) []string {
		var out []string
		for _, w := range strings.Fields(strings.ToLower(anySlot.ReplaceAllString(text, " "))) {
			if t := strings.Trim(w, ".,;:!?()"); t != "" {
				w = t
			}
			out = append(out, w)
		}
		return out
	}
	has := map[string]int{}
	for _, w := range words(text) {
		has[w]++
	}
	var more []string
	for _, w := range words(bad) {
		if has[w]--; has[w] < 0 {
			more = append(more, w)
		}
	}
	return strings.Join(more, " ")
}

// try spoils drafts in one way. Only a draft that is itself accepted is spoiled,
// so that it is the spoiling that is refused.
func (k kind) try(t *testing.T, d *drawer, through map[string]bool, r *rand.Rand) tally {
	var one tally
	known := map[string]bool{}
	for range 100 * each {
		if one.attacks == each {
			break
		}
		g := d.draw(r, k.lang)
		bad, twin := k.make(r, g)
		if twin == "" {
			continue
		}
		if _, err := verify(g, g.text); err != nil {
			continue
		}
		one.attacks++
		if text, err := verify(g, bad); err == nil {
			one.through++
			how := spoiling(g.text, bad)
			if through[k.name+": "+how] || through[k.name+": "+bad] {
				one.known++
			} else if !known[how] && len(one.examples) < 40 {
				one.examples = append(one.examples, fmt.Sprintf("  %s [%s]: %q in %.120q reads %.160q", k.name, g.lang, how, bad, text))
				known[how] = true
			}
		} else {
			none(t, err)
		}
		one.twins++
		if text, err := verify(g, twin); err != nil {
			one.kept++
			if !known[err.Error()] && len(one.refused) < 20 {
				one.refused = append(one.refused, fmt.Sprintf("%s [%s]: %q: %v", k.name, g.lang, twin, err))
				known[err.Error()] = true
			}
		} else if err := faithful(g, text); err != nil {
			t.Errorf("%s: %q reads %q: %v", k.name, twin, text, err)
		}
	}
	if one.attacks < each {
		t.Errorf("%s: only %d attacks", k.name, one.attacks)
	}
	return one
}

// TestGoodDrafts tries every good draft over every reply of its shape, bare and
// with what people say before and after.
func TestGoodDrafts(t *testing.T) {
	d := newDrawer(t)
	drafts, tried, kept, of := 0, 0, 0, 0
	known := lines(t, "kept.txt")
	told := map[string]bool{}
	count := func(lang string, shapes map[string][]string) {
		for _, shape := range d.shapes[lang] {
			for _, text := range shapes[shape] {
				drafts++
				for i, c := range d.real[shape] {
					body := *c.body
					body.Language = lang
					for j, f := range slices.Compact(slices.Clone(frames[lang])) {
						if j > 0 && (i+j)%len(d.real[shape]) != 0 {
							continue
						}
						g := good{lang, shape, strings.Replace(f, "{d}", text, 1), c, &body}
						tried++
						said, err := verify(g, g.text)
						if err != nil && (known[lang+": "+text] || known[lang+": "+f]) {
							of++
						} else if err != nil {
							kept++
							if !told[err.Error()] {
								t.Logf("kept back [%s]: %q (%s: %s): %v", lang, g.text, lang, text, err)
							}
							told[err.Error()] = true
						} else if err := faithful(g, said); err != nil {
							t.Errorf("%q reads %q: %v", g.text, said, err)
						}
					}
				}
			}
		}
	}
	count("en", english)
	for _, lang := range languages[1:] {
		count(lang, others[lang])
	}
	t.Logf("%d good drafts, %d with replies and frames, %d kept back, %d more that are known", drafts, tried, kept, of)
	if drafts < 150 {
		t.Errorf("%d good drafts: too few", drafts)
	}
	if 100*kept > 2*tried {
		t.Errorf("%d of %d good drafts were kept back", kept, tried)
	}
}

// TestLaterDrafts tries drafts that the check was not mended for.
func TestLaterDrafts(t *testing.T) {
	d := newDrawer(t)
	known := lines(t, "kept.txt")
	tried, kept, of := 0, 0, 0
	count := func(lang string, shapes map[string][]string) {
		for _, shape := range slices.Sorted(maps.Keys(shapes)) {
			for _, text := range shapes[shape] {
				for _, c := range d.real[shape] {
					body := *c.body
					body.Language = lang
					g := good{lang, shape, text, c, &body}
					tried++
					said, err := verify(g, text)
					switch {
					case err == nil:
						if err := faithful(g, said); err != nil {
							t.Errorf("%q reads %q: %v", text, said, err)
						}
					case known[lang+": "+strings.Join(strings.Fields(text), " ")]:
						of++
					default:
						if kept++; c == d.real[shape][0] {
							t.Logf("kept back (%s: %s): %v", lang, strings.Join(strings.Fields(text), " "), err)
						}
					}
				}
			}
		}
	}
	count("en", later)
	for _, lang := range languages[1:] {
		count(lang, laterOthers[lang])
	}
	t.Logf("%d later drafts with replies, %d kept back, %d more that are known", tried, kept, of)
	if 100*kept > 2*tried {
		t.Errorf("%d of %d later drafts were kept back", kept, tried)
	}
}

// TestTemplateItself: the template said word for word is always good.
func TestTemplateItself(t *testing.T) {
	d := newDrawer(t)
	for _, shape := range d.shapes["en"] {
		for _, c := range d.real[shape] {
			g := good{"en", shape, c.body.Text(), c, c.body}
			said, err := verify(g, g.text)
			if err != nil {
				t.Errorf("%q: %v", c.question, err)
			} else if err := faithful(g, said); err != nil {
				t.Errorf("%q: %v", c.question, err)
			}
		}
	}
}
