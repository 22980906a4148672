package phrase_test

import (
	"os"
	"strings"
	"testing"

	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// Good drafts in testdata/good.txt come through, all but a few.
func TestVerifyGoodDrafts(t *testing.T) {
	data, err := os.ReadFile("testdata/good.txt")
	if err != nil {
		t.Fatal(err)
	}
	shapes := map[string][]reply.Slot{
		"amount": two.Slots,
		"two":    {two.Slots[0], {Text: "400 g cream 35 %", Means: "how much: cream 35 %"}, two.Slots[1]},
		"alone":  {{Text: "106.5 °C boiling point", Means: "figure: boiling point"}},
	}
	var lang, shape string
	tried, kept := 0, 0
	for _, d := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if d == "" || strings.HasPrefix(d, "#") {
			continue
		}
		if in, ok := strings.CutPrefix(d, "["); ok && !strings.HasPrefix(in, "[") {
			lang, shape, _ = strings.Cut(strings.TrimSuffix(in, "]"), " ")
			continue
		}
		if len(shapes[shape]) == 0 {
			t.Fatalf("%q: no shape %q", d, shape)
		}
		tried++
		if _, err := phrase.Verify(&reply.Template{Slots: shapes[shape], Language: lang}, phrase.Draft(d), book); err != nil {
			kept++
			t.Logf("kept back [%s]: %q: %v", lang, d, err)
		}
	}
	t.Logf("%d good drafts, %d kept back", tried, kept)
	if tried < 150 || 50*kept > tried {
		t.Errorf("%d of %d good drafts were kept back", kept, tried)
	}
}

// None of the drafts in testdata/bad.txt comes through.
func TestVerifyBadDrafts(t *testing.T) {
	data, err := os.ReadFile("testdata/bad.txt")
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, d := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if strings.HasPrefix(d, "#") {
			continue
		}
		tried++
		for _, lang := range []string{"en", "de", "es", "fr", "it", "pt"} {
			if p, err := phrase.Verify(&reply.Template{Slots: two.Slots, Language: lang}, phrase.Draft(d), nil); err == nil {
				t.Errorf("%q was accepted in a house of language %s: %q", d, lang, p.Text())
			}
		}
	}
	if tried < 100 {
		t.Errorf("%d bad drafts: too few", tried)
	}
}
