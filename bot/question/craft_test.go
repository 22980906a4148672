package question_test

import (
	"fmt"
	"strings"
	"testing"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

var craftWants = map[question.Want]string{
	question.WantEvaporated: "evaporated", question.WantPanFit: "fit", question.WantReduceTo: "reduce to", question.WantAlcoholLeft: "alcohol",
	question.WantNow: "now", question.WantBoils: "boils", question.WantStage: "stage", question.WantSyrupScale: "syrup", question.WantCrystal: "crystal",
	question.WantMixBrix: "mix", question.WantBloom: "bloom", question.WantSoak: "soak", question.WantGelCompare: "compare", question.WantAgent: "agent",
	question.WantDose: "dose", question.WantSmallDose: "small dose", question.WantMelts: "melts", question.WantUnmould: "unmould", question.WantWeaken: "weaken",
	question.WantTemper: "temper", question.WantDrift: "drift", question.WantSeed: "seed", question.WantGanache: "ganache", question.WantSiphon: "siphon",
	question.WantBrine: "brine", question.WantNitrite: "nitrite",
}

// slots is what a craft question gives, in one line.
func slots(q *question.Question) string {
	w, ok := craftWants[q.Want]
	if !ok {
		return fmt.Sprintf("want %d", q.Want)
	}
	var b strings.Builder
	b.WriteString(w)
	put := func(name string, vs ...string) {
		for _, v := range vs {
			if v != "" {
				fmt.Fprintf(&b, " %s=%s", name, v)
			}
		}
	}
	numbers := func(name string, ns []quantity.Number) {
		for _, n := range ns {
			put(name, n.String())
		}
	}
	c := &q.Craft
	put("topic", c.Topic)
	for _, t := range q.Targets {
		if t.Recipe != nil {
			put("of", t.Recipe.Name)
			if t.Scale.Kind != question.ScaleNone {
				put("size", t.Scale.N.String())
			}
		}
	}
	put("agent", c.Agents...)
	put("use", c.Use)
	put("kind", c.Kind)
	put("grade", c.Grades...)
	put("fruit", c.Fruit)
	put("state", c.State)
	numbers("bloom", c.Bloom)
	numbers("bx", c.Brix)
	numbers("be", c.Baume)
	numbers("density", c.Density)
	numbers("°C", c.Celsius)
	numbers("%", c.Share)
	numbers("min", c.Minutes)
	numbers("m", c.Metres)
	numbers("n", c.Counts)
	for _, g := range c.Amounts {
		if g.Q.N.Sign() > 0 {
			put("have", strings.TrimSpace(g.Q.String()+" "+g.Item.Text))
		}
	}
	if q.Thing != nil {
		put("in", q.Thing.Text)
	}
	return b.String()
}

func TestCraftQuestions(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"reduce 2 kg stock to 600 g in the wide pan, what does it read", "reduce to topic=reading have=2 kg stock have=600 g in=wide pan"},
		{"reduce 2 kg stock by half", "reduce to topic=reading n=0.5 have=2 kg stock"},
		{"2 kg veal stock down to a third, how much boils off", "reduce to topic=evaporated n=1/3 have=2 kg veal stock"},
		{"stock with 0.6 % salt reduced from 2 kg to 600 g, how salty", "reduce to topic=share %=0.6 have=2 kg have=600 g"},
		{"empty pan 930 g, 400 g down to 180 g, reading?", "reduce to topic=reading have=400 g have=180 g"},
		{"how much evaporates in the perry reduction", "evaporated of=perry reduction"},
		{"what % boils off 2x perry reduction", "evaporated of=perry reduction size=2"},
		{"does 3x perry reduction fit the wide pan", "fit of=perry reduction size=3 in=wide pan"},
		{"how much alcohol is left in the perry reduction", "alcohol topic=recipe of=perry reduction"},
		{"750 ml wine 12 % reduced to 250 g, how much alcohol left", "alcohol topic=pan %=12 have=750 ml wine have=250 g"},
		{"how much alcohol is left after simmering 30 min", "alcohol topic=cooking kind=stirred min=30"},
		{"alcohol left after flambe", "alcohol topic=cooking kind=flamed"},

		{"boiling point of a 70 brix syrup", "boils topic=point bx=70"},
		{"at what temp does 80 brix boil", "boils topic=point bx=80"},
		{"syrup at 112 C how many brix", "boils topic=brix °C=112"},
		{"what does water boil at at 2000 m", "boils topic=water m=2000"},
		{"whats the boilng point of 75 brix sirup", "boils topic=point bx=75"},
		{"whats soft ball in C", "stage topic=stage kind=soft ball"},
		{"is 118 soft ball", "stage topic=is kind=soft ball °C=118"},
		{"118 C what stage", "stage topic=at °C=118"},
		{"sugar stages", "stage topic=all"},
		{"30 baume in brix", "syrup topic=brix be=30"},
		{"60 brix in baume", "syrup topic=baume bx=60"},
		{"density of 60 brix syrup", "syrup topic=density bx=60"},
		{"will a 70 brix syrup crystallise in the fridge", "crystal topic=brix bx=70"},
		{"will the apple syrup crystallise in the fridge", "crystal topic=recipe of=apple syrup"},
		{"2 kg puree at 11 brix to 18 brix how much sugar", "mix topic=sugar bx=11 bx=18 have=2 kg puree"},
		{"500 g syrup 65 brix dilute to 30 brix how much water", "mix topic=water bx=65 bx=30 have=500 g syrup"},
		{"mix 60 and 20 brix to get 1 kg at 30 brix", "mix topic=square bx=60 bx=20 bx=30 have=1 kg"},
		{"1 kg syrup at 30 brix how much sugar", "mix topic=make bx=30 have=1 kg syrup"},
		{"what brix is 500 g sugar in 400 g water", "mix topic=what have=500 g sugar have=400 g water"},

		{"walnut dome with 160 bloom leaf instead of 200, how many g gelatine", "bloom topic=recipe of=walnut dome bloom=160 bloom=200"},
		{"3x walnut dome with silver leaf how many leaves", "bloom topic=recipe of=walnut dome size=3 grade=silver state=leaves bloom=0 bloom=0"},
		{"10 g gelatine 200 bloom to 160 bloom", "bloom topic=given bloom=160 bloom=200 have=10 g"},
		{"how many silver leaves for 5 gold", "bloom topic=given grade=silver grade=gold state=leaves bloom=0 bloom=0 n=5"},
		{"swap 6 gold leaves for platinum", "bloom topic=given grade=platinum grade=gold bloom=0 bloom=0 n=6"},
		{"how much powder for 4 gelatine leaves", "bloom topic=given kind=powder bloom=0 bloom=0 n=4"},
		{"how much water does 10 g gelatine soak up", "soak topic=given have=10 g"},
		{"is the walnut dome softer than the curd", "compare topic=compare of=walnut dome of=sea buckthorn curd"},
		{"gelatine share of the walnut dome", "compare topic=share of=walnut dome"},
		{"at what temp does agar set", "agent topic=set agent=agar"},
		{"does low acyl gellan need calcium", "agent topic=needs agent=low-acyl gellan"},
		{"how long do i boil agar", "agent topic=hold agent=agar"},
		{"can i freeze the agar gel", "agent topic=freeze agent=agar"},
		{"agar dosage for fluid gel", "agent topic=dosage agent=agar use=fluid gel"},
		{"is 4 g agar right for 350 g juice as a fluid gel", "dose topic=judge agent=agar use=fluid gel have=4 g have=350 g juice"},
		{"is 4 g agar right for 350 g pear juice reduced to 250 g as a fluid gel", "dose topic=judge agent=agar use=fluid gel have=4 g have=350 g pear juice have=250 g"},
		{"how much xanthan to thicken 500 g", "dose topic=how much agent=xanthan use=thicken have=500 g"},
		{"is the agar right in the pear gel", "dose topic=recipe of=pear gel agent=agar"},
		{"0.4 g agar premix", "small dose agent=agar have=0.4 g agar"},
		{"does the walnut dome melt at 30", "melts topic=recipe of=walnut dome °C=30"},
		{"has the walnut dome set after 3 h", "unmould topic=set of=walnut dome min=180"},
		{"can I unmould the walnut dome at core -12", "unmould topic=unmould of=walnut dome °C=-12"},
		{"can i set pineapple with gelatine", "weaken topic=fruit fruit=pineapple"},

		{"temper dark chocolate temps", "temper topic=curve kind=dark"},
		{"dark chocolate 28 C and thick", "drift kind=dark state=thick °C=28"},
		{"seed for 2 kg dark chocolate", "seed kind=dark have=2 kg dark chocolate"},
		{"fat to water of the rye ganache", "ganache of=rye ganache"},
		{"600 ml cream in a 0.5 l siphon, chargers?", "siphon topic=given have=600 ml cream in=siphon"},
		{"salt for 2 kg cod and 3 l water at 2 % equilibrium", "brine topic=equilibrium %=2 have=2 kg cod have=3 l water"},
		{"2 l of 5 % brine how much salt", "brine topic=make %=5 have=2 l"},
		{"inject 10 % of a 12 % brine into 5 kg ham", "brine topic=inject %=10 %=12 have=5 kg ham"},
		{"how much curing salt for 3 kg pork belly", "nitrite topic=work out"},
		{"can I swap the pink salt for normal salt", "nitrite topic=replace"},
	} {
		t.Run(c.text, func(t *testing.T) {
			qs := read(c.text)
			if len(qs) == 0 {
				t.Fatal("no reading")
			}
			if got := slots(&qs[0]); got != c.want {
				t.Errorf("read as\n  %s, want\n  %s", got, c.want)
			}
		})
	}
}

// Questions of the book that hold words of the craft and must stay what they are.
func TestCraftLeavesOthersAlone(t *testing.T) {
	for _, text := range []string{
		"how much agar in the pear gel", "2x pear gel agar", "agar for 3x pear gel", "xanthan in buttermilk foam", "gelatine in 2x walnut dome",
		"how long does the pear gel set", "what temp do I cook the walnut dome to", "walnut dome freeze how long", "how long do I soak the gelatine for the walnut dome",
		"how many chargers in 3x buttermilk foam", "how much salt in the cured cod", "salt for cured cod 3 kg cod", "how long does cured cod cure",
		"how much sugar in 3x pear gel", "sugar in the perry reduction", "perry reduction x2", "how much perry for 2x perry reduction",
		"wide pan reads 1900 g, perry reduction, how much still to lose", "what must the wide pan read for perry reduction",
		"what does the wide pan hold", "what does the wide pan weigh empty", "how long does the perry reduction keep", "is the perry reduction alcohol free",
		"rye ganache for 120", "how long does the rye ganache keep", "rye ganache cream", "what temp is the fridge", "320F to C", "28 °C in F",
		"200 ml cream in g", "fat % walnut dome", "walnut dome for 30, cream", "allergens of the walnut dome", "which recipes use gelatine",
		"when is the walnut dome ready, went in at 14:00", "apple syrup how much juice", "only 400 g pear juice, pear gel",
	} {
		qs := read(text)
		if len(qs) == 0 {
			t.Errorf("%q: no reading", text)
			continue
		}
		if w, ok := craftWants[qs[0].Want]; ok {
			t.Errorf("%q was read as %s", text, w)
		}
	}
}

// The word file of every language holds only kinds and names that frames ask for.
func TestCraftReadsTwiceAlike(t *testing.T) {
	for _, text := range []string{"10 g gelatine 200 bloom to 160 bloom", "is 4 g agar right for 350 g juice as a fluid gel"} {
		a, b := read(text), read(text)
		if len(a) != len(b) || slots(&a[0]) != slots(&b[0]) {
			t.Errorf("%q is read in two ways", text)
		}
	}
}
