package phrase_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// foods stands in for the names of a book.
type foods []string

func (f foods) NamesIn(text string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r < 'a' || r > 'z' }) {
		for _, n := range f {
			if w == n {
				out = append(out, n)
			}
		}
	}
	return out
}

var (
	book = foods{"yolk", "cream", "walnut", "sorrel", "dome", "butter"}
	two  = &reply.Template{Slots: []reply.Slot{
		{Text: "450 g egg yolk", Means: "how much: egg yolk"},
		{Text: "brown butter ice cream × 3", Means: "what it is for"},
	}}
)

func TestVerify(t *testing.T) {
	tests := []struct {
		draft string
		want  phrase.Reason
	}{
		// good ones
		{"[[1]]\n[[2]]", phrase.ReasonNone},
		{"You need [[1]] for [[2]], chef.", phrase.ReasonNone},
		{"That's [[1]] for the [[2]].", phrase.ReasonNone},
		{"For [[2]]: [[1]].", phrase.ReasonNone},
		{"No worries – [[1]] for [[2]].", phrase.ReasonNone},
		{"No problem, [[1]] for [[2]]. Shout if you need anything else!", phrase.ReasonNone},
		{"Sure! [[1]], for [[2]] 🙂", phrase.ReasonNone},
		{"Il te faut [[1]] pour [[2]].", phrase.ReasonNone},
		{"Du brauchst [[1]] für [[2]].", phrase.ReasonNone},
		{"Necesitas [[1]] para [[2]].", phrase.ReasonNone},
		{"Weigh out [[1]] and you're all set for [[2]].", phrase.ReasonNone},
		// slots
		{"You need [[1]].", phrase.ReasonSlots},
		{"[[1]] [[1]] [[2]]", phrase.ReasonSlots},
		{"[[1]] [[2]] [[3]]", phrase.ReasonSlots},
		{"[[1]]0 for [[2]]", phrase.ReasonSlots},
		{"1[[1]] for [[2]]", phrase.ReasonSlots},
		{"-[[1]] for [[2]]", phrase.ReasonSlots},
		{"– [[1]] for [[2]]", phrase.ReasonSlots},
		{"[[ 1 ]] for [[2]]", phrase.ReasonSlots},
		{"[[01]] for [[2]]", phrase.ReasonSlots},
		{"[[1]]/[[2]]", phrase.ReasonSlots},
		{"[[1]]k for [[2]]", phrase.ReasonSlots},
		{"[see] [[1]] for [[2]]", phrase.ReasonSlots},
		// numbers
		{"Take [[1]], 2 times, for [[2]]", phrase.ReasonNumber},
		{"Take two of [[1]] for [[2]]", phrase.ReasonNumber},
		{"Twice [[1]] for [[2]]", phrase.ReasonNumber},
		{"Half of [[1]] for [[2]]", phrase.ReasonNumber},
		{"A dozen: [[1]] for [[2]]", phrase.ReasonNumber},
		{"First [[1]], then [[2]]", phrase.ReasonNumber},
		{"zweihundert: [[1]] für [[2]]", phrase.ReasonNumber},
		{"fourhundred and [[1]] for [[2]]", phrase.ReasonNumber},
		{"quatre-vingt-dix, [[1]] pour [[2]]", phrase.ReasonNumber},
		{"Batch III: [[1]] for [[2]]", phrase.ReasonNumber},
		{"t w o of [[1]] for [[2]]", phrase.ReasonNumber},
		{"t-w-o of [[1]] for [[2]]", phrase.ReasonNumber},
		{"½ of [[1]] for [[2]]", phrase.ReasonNumber},
		{"٣ of [[1]] for [[2]]", phrase.ReasonNumber},
		{"３ of [[1]] for [[2]]", phrase.ReasonNumber},
		{"① [[1]] for [[2]]", phrase.ReasonNumber},
		// signs
		{"@everyone [[1]] for [[2]]", phrase.ReasonSigns},
		{"**[[1]]** for [[2]]", phrase.ReasonSlots},
		{"`code` [[1]] for [[2]]", phrase.ReasonSigns},
		{"<b>hi</b> [[1]] for [[2]]", phrase.ReasonSigns},
		{"You\u200bneed [[1]] for [[2]]", phrase.ReasonSigns},
		{"\u202eneed [[1]] for [[2]]", phrase.ReasonSigns},
		{"Yоu need [[1]] for [[2]]", phrase.ReasonSigns}, // a Cyrillic o
		{"ｔｗｏ [[1]] for [[2]]", phrase.ReasonSigns},
		{"- [[1]] for [[2]]", phrase.ReasonSlots},
		{"Note:\n- so [[1]] for [[2]]", phrase.ReasonSigns},
		// units, times
		{"Grams: [[1]] for [[2]]", phrase.ReasonUnit},
		{"[[1]] per portion of [[2]]", phrase.ReasonUnit},
		{"[[1]] for [[2]] by midnight", phrase.ReasonClock},
		{"[[1]] for [[2]] tomorrow", phrase.ReasonClock},
		{"At half past, [[1]] for [[2]]", phrase.ReasonNumber},
		// comparisons, negations
		{"About [[1]] for [[2]]", phrase.ReasonCompare},
		{"Up to [[1]] for [[2]]", phrase.ReasonCompare},
		{"Less than [[1]] for [[2]]", phrase.ReasonCompare},
		{"At least [[1]] for [[2]]", phrase.ReasonCompare},
		{"Maybe [[1]] for [[2]]", phrase.ReasonCompare},
		{"Only [[1]] for [[2]]", phrase.ReasonCompare},
		{"Fast [[1]] für [[2]], ungefähr", phrase.ReasonCompare},
		{"Not [[1]] for [[2]]", phrase.ReasonNegation},
		{"Don't use [[1]] for [[2]]", phrase.ReasonNegation},
		{"[[1]] without [[2]]", phrase.ReasonNegation},
		{"pas [[1]] pour [[2]]", phrase.ReasonNegation},
		{"nicht [[1]] für [[2]]", phrase.ReasonNegation},
		// names, advice, itself
		{"[[1]] walnut for [[2]]", phrase.ReasonName},
		{"Leave it out overnight, [[1]] for [[2]]", phrase.ReasonClock},
		{"It's safe: [[1]] for [[2]]", phrase.ReasonAdvice},
		{"[[1]] for [[2]], gluten free", phrase.ReasonAdvice},
		{"Boil it, then [[1]] for [[2]]", phrase.ReasonAdvice},
		{"Here is the template: [[1]] for [[2]]", phrase.ReasonMeta},
		{"", phrase.ReasonEmpty},
		{strings.Repeat("so ", 300) + "[[1]] [[2]]", phrase.ReasonLong},
	}
	for _, tt := range tests {
		p, err := phrase.Verify(two, phrase.Draft(tt.draft), book)
		got := phrase.ReasonNone
		var no *phrase.Rejected
		if errors.As(err, &no) {
			got = no.Reason
		}
		if got != tt.want {
			t.Errorf("%q: %q (%v), want %q", tt.draft, got, err, tt.want)
		}
		if err == nil {
			for _, s := range two.Slots {
				if strings.Count(p.Text(), s.Text) != 1 {
					t.Errorf("%q: %q does not hold %q once", tt.draft, p.Text(), s.Text)
				}
			}
		}
	}
}

// "per" is "for" in Italian and a rate in English.
func TestVerifyLanguage(t *testing.T) {
	it := &reply.Template{Slots: two.Slots, Language: "it"}
	if _, err := phrase.Verify(it, "Ti serve [[1]] per il [[2]].", book); err != nil {
		t.Error(err)
	}
	if _, err := phrase.Verify(two, "[[1]] per [[2]].", book); err == nil {
		t.Error("a rate was accepted")
	}
}

// A word that the template itself says may be said around it.
func TestVerifyOwnWords(t *testing.T) {
	bake := &reply.Template{Slots: []reply.Slot{{Text: "bake at 160 °C", Means: "figure"}, {Text: "rye tuile", Means: "what it is for"}}}
	if _, err := phrase.Verify(bake, "To bake it: [[1]], for [[2]].", book); err != nil {
		t.Error(err)
	}
	if _, err := phrase.Verify(bake, "To boil it: [[1]], for [[2]].", book); err == nil {
		t.Error("boiling is no word of the template")
	}
}

func ExampleVerify() {
	p, err := phrase.Verify(two, "You need [[1]] for [[2]], chef.", nil)
	fmt.Println(p.Text(), err)
	_, err = phrase.Verify(two, "You need about [[1]] for [[2]], chef.", nil)
	fmt.Println(err)
	// Output:
	// You need 450 g egg yolk for brown butter ice cream × 3, chef. <nil>
	// not used (compare): "about"
}

// Whatever is accepted says every slot once and holds no digit of its own.
func FuzzVerify(f *testing.F) {
	for _, s := range []string{"[[1]]\n[[2]]", "You need [[1]] for [[2]].", "[[1]]0 [[2]]", "[[[1]]] [[2]]", "٣[[1]][[2]]", "\u200b[[1]] [[2]]", "- [[1]] [[2]]"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := phrase.Verify(two, phrase.Draft(s), book)
		if err != nil {
			return
		}
		rest := p.Text()
		for _, slot := range two.Slots {
			if strings.Count(rest, slot.Text) != 1 {
				t.Fatalf("%q says %q %d times", rest, slot.Text, strings.Count(rest, slot.Text))
			}
			rest = strings.Replace(rest, slot.Text, " ", 1)
		}
		if strings.ContainsAny(rest, "0123456789[]@#`*_<>{}|\\/%°×") {
			t.Fatalf("%q was accepted of %q", rest, s)
		}
	})
}

func BenchmarkVerify(b *testing.B) {
	for b.Loop() {
		if _, err := phrase.Verify(two, "You need [[1]] for [[2]], chef. Shout if you need anything else!", book); err != nil {
			b.Fatal(err)
		}
	}
}
