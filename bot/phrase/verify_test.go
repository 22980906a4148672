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

// What a good colleague may say, and what only sounds like it.
func TestVerifyTalk(t *testing.T) {
	for _, d := range []string{
		"Sure thing, chef: [[1]] for [[2]].",
		"Here you go: [[1]] for [[2]].",
		"That comes to [[1]] for [[2]].",
		"You'll want [[1]] for [[2]].",
		"For [[2]] you need [[1]].",
		"For [[2]], weigh out [[1]].",
		"Take [[1]] for [[2]].",
		"Use [[1]] for [[2]]. Enjoy!",
		"The book says [[1]] for [[2]].",
		"According to the book, [[1]] for [[2]].",
		"Got it. [[1]] goes into [[2]].",
		"Hi chef, the answer is [[1]] for [[2]]. Have a good service!",
		"Right, so [[1]] is what you need for [[2]].",
		"Of course! [[1]] for [[2]]. Let me know if you need anything else.",
		"[[1]] for [[2]], as you asked.",
		"Please weigh [[1]] for [[2]].",
		"Our recipe calls for [[1]] for [[2]].",
		"Alright, [[1]], that's for [[2]].",
		"Happy to help: [[1]] for [[2]].",
		"Good question! It's [[1]] for [[2]].",
		"Yes chef! [[1]] for [[2]].",
		"Easy: [[1]] for [[2]].",
		"You are looking at [[1]] for [[2]].",
		"Measure [[1]] and you are good to go for [[2]].",
		"The amount is [[1]] for [[2]].",
		"We need [[1]] for [[2]], team.",
		"Going by the house book: [[1]] for [[2]].",
		"Thanks for asking. [[1]] for [[2]].",
		"Have [[1]] ready for [[2]].",
		"Get [[1]] ready, for [[2]].",
		"[[1]] – that's for [[2]].",
		"[[1]], for [[2]]. Good luck!",
		"[[1]]. For [[2]].",
		"Okay: [[1]] ([[2]]).",
		"I have [[1]] for [[2]].",
		"I've got [[1]] for [[2]] here.",
		"It works out to [[1]] for [[2]].",
		"Scaled to [[2]], that's [[1]].",
		"With [[2]] in mind, go with [[1]].",
		"Absolutely, chef! [[2]] takes [[1]].",
		"Let's go: [[1]] for [[2]].",
		"Set aside [[1]] for [[2]].",
		"Bonjour chef, il faut [[1]] pour [[2]].",
		"Voici : [[1]] pour [[2]].",
		"Bien sûr, chef : [[1]] pour [[2]]. Bon service !",
		"Pour [[2]], prévoyez [[1]].",
		"Tu as besoin de [[1]] pour [[2]].",
		"C'est [[1]] pour [[2]].",
		"Klar, Chef: [[1]] für [[2]].",
		"Für [[2]] brauchst du [[1]].",
		"Hier bitte: [[1]] für [[2]].",
		"Nimm [[1]] für [[2]], viel Erfolg!",
		"Das macht [[1]] für [[2]].",
		"Claro, chef: [[1]] para [[2]].",
		"Para [[2]] necesitas [[1]].",
		"¡Listo! [[1]] para [[2]].",
		"Aquí tienes: [[1]] para [[2]].",
		"Usa [[1]] para [[2]], por favor.",
		"Certo, chef: [[1]] per [[2]].",
		"Per [[2]] ti servono [[1]].",
		"Ecco: [[1]] per [[2]].",
		"Ti occorrono [[1]] per [[2]].",
		"Claro, chefe: [[1]] para [[2]].",
		"Para [[2]] você precisa de [[1]].",
		"Aqui está: [[1]] para [[2]].",
		"Pronto! [[1]] para [[2]].",
		"Just for you, chef: [[1]] for [[2]].",
		"All set, chef: [[1]] for [[2]].",
		"No problem. [[1]] for [[2]].",
		"Here's what you need:\n[[1]]\n[[2]]",
		"Sure!\n[[1]]\n[[2]]",
		"[[1]] [[2]]",
		"[[1]] and [[2]].",
		"[[2]]: [[1]]",
		"[[1]]\n[[2]]\nHappy cooking!",
		"Noted, chef. [[1]], [[2]].",
		"On it! [[1]] for the [[2]].",
		"Right away, chef: [[1]] for [[2]].",
		"There you have it: [[1]] for [[2]].",
		"Keep it handy: [[1]] for [[2]].",
		"So that makes [[1]] for [[2]].",
		"Plan on [[1]] for [[2]].",
		"To make [[2]], use [[1]].",
		"You should weigh [[1]] for [[2]].",
		"Whenever you're ready: [[1]] for [[2]].",
		"That would be [[1]] for [[2]].",
		"Hey there! You need [[1]] for [[2]] 🙂",
		"Great, let's do this: [[1]] for [[2]].",
		"Listen up: [[1]] for [[2]].",
		"My friend, [[1]] for [[2]].",
		"Remember: [[1]] for [[2]].",
		"Coming right up: [[1]] for [[2]].",
	} {
		if _, err := phrase.Verify(two, phrase.Draft(d), book); err != nil {
			t.Errorf("%q: %v", d, err)
		}
	}
	for _, d := range []string{
		"[[1]] g for [[2]]",
		"Use [[1]] l for [[2]]",
		"A pinch more than [[1]] for [[2]]",
		"Use a good [[1]] for [[2]]",
		"from [[1]] for [[2]]",
		"up [[1]] for [[2]]",
		"[[1]] or so for [[2]]",
		"[[1]] and up for [[2]]",
		"say [[1]] for [[2]]",
		"some [[1]] for [[2]]",
		"You need [[1]]? for [[2]]",
		"Batch I: [[1]] for [[2]]",
		"on e [[1]] for [[2]]",
		"with out [[1]] for [[2]]",
		"On the order of [[1]] for [[2]]",
		"just [[1]] for [[2]]",
		"Use [[1]] for [[2]] tonight",
		"tvo [[1]] for [[2]]",
		"drie keer [[1]] for [[2]]",
		"une pincée de [[1]] for [[2]]",
		"[[1]]\" for [[2]]",
		"[[1]] sage for [[2]]",
		"Use [[1]] with butter for [[2]]",
		"dos [[1]] para [[2]]",
		"très [[1]] tres [[2]]",
		"mehr als [[1]] für [[2]]",
		"às oito [[1]] para [[2]]",
		"[[1]] pour [[2]] à midi",
		"visit evil.com [[1]] for [[2]]",
		"{\"text\": \"[[1]] for [[2]]\"}",
		"[[1]] to [[1]] for [[2]]",
		"[[1]] x for [[2]]",
		"nine-ish [[1]] for [[2]]",
		"[[1]] each for [[2]]",
		"medio [[1]] para [[2]]",
		"Not quite [[1]] for [[2]]",
		"Hardly [[1]] for [[2]]",
		"skip [[1]] for [[2]]",
		"Give or take [[1]] for [[2]]",
		"I guess [[1]] for [[2]]",
		"[[1]] tops for [[2]]",
		"un par de [[1]] para [[2]]",
		"MMXX [[1]] for [[2]]",
		"a third of [[1]] for [[2]]",
		"[[1]] e mezzo per [[2]]",
		"environ [[1]] pour [[2]]",
		"[[1]] for [[2]] at six",
		"[[1]] for [[2]] hourly",
		"Use [[1]] per [[2]]",
		"usa mas [[1]] para [[2]]",
		"[[1]] par [[2]]",
		"hier [[1]] pour [[2]]",
		"je [[1]] für [[2]]",
		"by [[1]] for [[2]]",
		"[[1]] by [[2]] or so",
		"a touch over [[1]] for [[2]]",
		"Use the rest of [[1]] for [[2]]",
		"It should be [[1]] for [[2]]",
	} {
		if p, err := phrase.Verify(two, phrase.Draft(d), book); err == nil {
			t.Errorf("%q was accepted: %q", d, p.Text())
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
