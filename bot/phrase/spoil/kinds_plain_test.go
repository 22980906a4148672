package spoil

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"unicode"
)

// Small words that change a figure they stand before or after, though each of
// them is plain.
var small = map[string][]string{
	"en": {
		"off", "out of", "past", "against", "on top of", "next to", "as good as", "close on", "well past", "down from", "up from", "apart from", "beside", "besides", "in place of", "before", "after",
		"by far", "even", "as well as", "inside of", "outside of", "towards", "near", "shy of", "beneath", "a mere", "a whole", "a full", "a good", "the odd", "plus", "what about", "kind of", "sort of", "so to say",
		"the last of the", "some of the", "half the", "both", "the other", "up", "down",
	},
	"fr": {"dans les", "vers", "vers les", "sur", "par", "à part", "hors", "contre", "bon", "dès", "avant", "après", "encore", "même", "entre", "deçà de", "autre que", "tout au plus", "disons"},
	"de": {"ab", "an die", "um die", "gegen", "gut", "bis", "je", "pro", "noch", "erst", "sogar", "bald", "nahe", "von", "zwischen", "vor", "nach", "samt", "plus", "minus", "kaum", "sagen wir", "um", "beinahe", "nebst"},
	"es": {"sobre", "hacia", "entre", "por", "contra", "tras", "desde", "antes de", "otros", "aún", "ni siquiera", "digamos", "cosa de", "cada", "cerca de"},
	"it": {"sui", "sulle", "verso", "tra", "fra", "contro", "oltre", "ancora", "dopo", "prima di", "diciamo", "ogni", "pure", "perfino", "fuori"},
	"pt": {"uns", "umas", "sobre", "entre", "por", "contra", "desde", "após", "antes de", "outros", "ainda", "digamos", "cada", "perto de", "fora", "além de"},
}

// plainKinds turn what is said round with words that are all plain by
// themselves.
func plainKinds() []kind {
	kinds := []kind{
		around("small words before a figure", "en", small["en"], "%s {1} | the {1}"),
		pairs("small words after a figure", "en", "{1} off | {1}, chef", "{1} over | {1}, boss", "{1} short | {1}, right", "{1} left | {1}, right", "{1} to go | {1} to use", "{1} down | {1}, chef", "{1} up | {1}, chef", "{1} back | {1}, chef", "{1} again | {1}, please", "{1} odd | {1}, chef", "{1} plus | {1}, please", "{1} and again | {1}, and there you go", "{1} at a time | {1} to use", "{1} so far | {1}, so", "{1} and so on | {1}, and so", "{1} and the like | {1}, as you like it", "{1} for a start | {1} for you", "{1} here and there | {1} here", "{1} even | {1}, chef", "{1} if that | {1}, that is", "{1} in part | {1} in short", "{1} to begin with | {1} to use", "{1} and rising | {1}, and ready", "{1} either way | {1}, by the way", "{1} with a bit of luck | {1}, and good luck"),
		pairs("taken away in plain words", "en", "{d} Take it out again. | {d} Take it.", "{d} Then put it back. | {d} Then ask me.", "{d} Leave it out. | {d} Leave it to me.", "{d} That's off. | {d} That's it.", "{d} You can do without. | {d} You can do it.", "{d} It has to go. | {d} Off you go.", "{d} Let it go. | {d} Let me know.", "{d} Give it back. | {d} Here it is.", "{d} Get it out of there. | {d} Get it ready.", "{d} Take that off. | {d} Take that.", "{d} Forget it. | {d} Go for it.", "{d} Drop it. | {d} Do it.", "{d} Then take away what you like. | {d} Then go."),
		pairs("added in plain words", "en", "{d} And the same for me. | {d} And that's it.", "{d} Then do it again. | {d} Then do it.", "{d} Do that all over again. | {d} Do that.", "{d} And that goes on top. | {d} And that goes in.", "{d} Keep adding. | {d} Keep it up.", "{d} Put in everything you have. | {d} Put it in.", "{d} Fill it up. | {d} Get it ready.", "{d} Top it up. | {d} Have fun.", "{d} Make a big batch. | {d} Make it good.", "{d} Make more of it. | {d} Make it good.", "{d} You want more of that. | {d} You want that.", "{d} And the other too. | {d} And there you go."),
		pairs("doubt in plain words", "en", "{d} So they say. | {d} So says the book.", "{d} So I hear. | {d} So it is.", "{d} As far as I know. | {d} As you can see.", "{d} For all I know. | {d} Just so you know.", "{d} Or so the book says. | {d} So the book says.", "{d} If you ask me. | {d} Ask me.", "{d} If I see it right. | {d} Right.", "{d} I take it. | {d} Take it.", "{d} I would look again. | {d} Look here.", "{d} Look it up to be sure. | {d} Sure.", "{d} As I recall. | {d} As asked.", "{d} I'm new here. | {d} I'm here.", "{d} Ask somebody who knows. | {d} Ask me.", "{d} That's what I would say. | {d} That's what the book says.", "{d} Fingers crossed. | {d} Good luck.", "{d} In a way. | {d} By the way.", "{d} In a manner of speaking. | {d} In short.", "{d} Let's hope so. | {d} That's so.", "{d} If the book is right. | {d} The book is right.", "{d} You tell me. | {d} Tell me.", "{d} Who knows. | {d} You know.", "{d} Good one! | {d} Good!"),
		pairs("mockery that turns it round", "en", "{d} Yeah right. | {d} Right.", "{d} As if! | {d} Yes!", "{d} If only. | {d} Just ask.", "{d} In your dreams. | {d} In your book.", "{d} Said nobody. | {d} Says the book.", "{d} Think again. | {d} Ask again.", "{d} April fool! | {d} Cheers!", "{d} What a joke. | {d} What a question!", "{d} You wish. | {d} As you wish.", "{d} My foot. | {d} My pleasure.", "{d} Dream on. | {d} Come on.", "{d} Opposite day! | {d} Good day!"),
		pairs("left to the cook in plain words", "en", "{d} Take what you like. | {d} Take it.", "{d} Do as you like. | {d} Do it.", "{d} Have it your way. | {d} Have it ready.", "{d} It's your call. | {d} It's your book.", "{d} You know best. | {d} You know that.", "{d} What you have will do. | {d} That will do.", "{d} Use what you have. | {d} Use it.", "{d} Go with what is there. | {d} Go with that.", "{d} See how you go. | {d} See the book.", "{d} Whatever works. | {d} That works.", "{d} Go with your gut. | {d} Go with the book.", "{d} Try and see. | {d} Come and see.", "{d} Use your eyes. | {d} Use that.", "{d} It's up to the guests. | {d} It's in the book.", "{d} Change it as you wish. | {d} As you wish.", "{d} Play with it. | {d} Have fun with it.", "{d} Wing it. | {d} Do it.", "{d} Do what feels right. | {d} That is right."),
		pairs("good to eat", "en", "{d} Good to eat. | {d} Good to know.", "{d} Good to serve. | {d} Good to hear.", "{d} Good for all guests. | {d} Good for you.", "{d} Still good. | {d} Very good.", "{d} Good as new. | {d} Good as that.", "{d} Go ahead and serve. | {d} Go ahead.", "{d} Serve it. | {d} Take it.", "{d} Eat up. | {d} Cheers.", "{d} It's ready to eat. | {d} It's ready.", "{d} Send it out. | {d} Off you go.", "{d} You can feed that to kids. | {d} You can do that.", "{d} It's clean. | {d} It's clear.", "{d} It's fresh. | {d} It's here.", "{d} It's healthy. | {d} It's handy.", "{d} Tastes fine to me. | {d} Fine by me.", "{d} Smells fine. | {d} All fine.", "{d} Looks fine. | {d} That's fine.", "{d} The guests will be fine. | {d} You will be fine.", "{d} Nothing wrong with it. | {d} That's right."),
		pairs("time in plain words", "en", "{1} right away | {1}, right", "{1} for now | {1} for this", "{d} Right now. | {d} Right.", "{d} In no time. | {d} In short.", "{d} Before you go. | {d} And off you go.", "{d} When it's set. | {d} You're all set.", "{d} After service. | {d} At your service.", "{d} Until it's done. | {d} And it's done.", "{d} In a bit. | {d} In short.", "{d} At once. | {d} At last.", "{d} All the time. | {d} All right.", "{d} As long as it takes. | {d} As the book has it.", "{d} By then. | {d} By the book.", "{d} From now on. | {d} There you go.", "{d} Day in, day out. | {d} Good day.", "{d} Take a break first. | {d} Take it.", "{d} Let it be for a bit. | {d} Let me know."),
		pairs("deeds nobody did", "en", "{d} I put it in the book. | {d} It's in the book.", "{d} I told the chef. | {d} Ask the chef.", "{d} I set a timer for you. | {d} I got that for you.", "{d} I changed the recipe. | {d} I see the recipe.", "{d} I saved that. | {d} I see that.", "{d} I made a note of it. | {d} I'm glad to help.", "{d} I ordered what you need. | {d} That's what you need.", "{d} I weighed it for you. | {d} I got it for you.", "{d} Your timer is on. | {d} Your answer is here.", "{d} The chef said yes. | {d} Yes, chef.", "{d} I have asked the chef. | {d} Thanks for asking.", "{d} The oven is on. | {d} The answer is here.", "{d} I checked the fridge. | {d} I checked the book.", "{d} The chef signed it off. | {d} Cheers, chef.", "{d} I have passed it on. | {d} I have it here."),
		pairs("claims about the food", "en", "{d} It's organic. | {d} It's here.", "{d} Low-fat. | {d} Good.", "{d} Low in sugar. | {d} In short.", "{d} It's light. | {d} It's right.", "{d} Pasteurised. | {d} Super.", "{d} Alcohol-free. | {d} Ready.", "{d} Without alcohol. | {d} For sure.", "{d} Kids can have it. | {d} You can have it.", "{d} It's raw. | {d} It's all yours.", "{d} Cooked through. | {d} Good.", "{d} Plant-based. | {d} Done.", "{d} Keto! | {d} OK!", "{d} Meat-free. | {d} Yes.", "{d} Local and seasonal. | {d} Plain and simple.", "{d} The alcohol is gone. | {d} The answer is there.", "{d} Hypoallergenic. | {d} Perfect.", "{d} It's a superfood. | {d} It's a good pick."),
		pairs("another thing than was asked", "en", "{d} That's for the other recipe. | {d} That's for this recipe.", "{d} That's for the old one. | {d} That's for you.", "{d} But the book has another. | {d} The book has it.", "{d} That's in another book. | {d} That's in the book.", "{d} That's what I use at home. | {d} That's what we use.", "{d} For the staff meal, that is. | {d} For you, that is.", "{d} That's for the big one. | {d} That's for this.", "{d} That's the small size. | {d} That's it.", "{d} I mean the other one. | {d} I mean it.", "{d} On paper. | {d} On it.", "{d} The chef has it otherwise. | {d} The chef has it."),
		pairs("letters that count", "en", "I. {d} | So: {d}", "V. {d} | So: {d}", "b. {d} | So, {d}", "{1} M | {1}, chef", "{1} k | {1}, chef", "{1} C | {1}, chef", "{1} x | {1}, chef", "x {1} | the {1}", "{1} F | {1}, chef", "{1} D | {1}, chef", "{1} I | {1}, chef", "{1} l | {1}, chef", "{1} t | {1}, chef", "Part I: {d} | Sure: {d}", "Plan B: {d} | Plan: {d}", "{d} A, B, C. | {d} OK.", "{1} II | {1}, chef", "MC {1} | the {1}", "{1} DC | {1}, chef"),
		pairs("numbers by ear and by halves", "en", "won {1} | the {1}", "ate {1} | the {1}", "tree {1} | the {1}", "nein {1} | the {1}", "for ty {1} | for you {1}", "fif teen {1} | the {1}", "twen ty {1} | the {1}", "se ven {1} | the {1}", "si x {1} | the {1}", "on e {1} | the {1}", "th ree {1} | the {1}", "hun dred {1} | the {1}", "t en {1} | the {1}", "do zen {1} | the {1}", "half-dozen {1} | the {1}", "hal f {1} | the {1}", "tw\no {1} | the {1}", "thir\nteen {1} | the {1}", "fo-ur {1} | the {1}", "duo {1} | the {1}", "trio {1} | the {1}", "uni {1} | the {1}", "bi- {1} | the {1}", "semi {1} | the {1}", "demi {1} | the {1}", "Net {1} | the {1}", "owt {1} | the {1}", "eerht {1} | the {1}", "iwo {1} | the {1}", "2wo {1} | the {1}", "neuf {1} | the {1}", "sei {1} | the {1}", "mil {1} | the {1}", "cent {1} | the {1}", "due {1} | the {1}"),
		pairs("foods cut, bent or guised", "en", "{1} buter | {1}, chef", "{1} but-ter | {1}, chef", "{1} b.u.t.t.e.r | {1}, chef", "{1} but\nter | {1},\nchef", "{1} creamy | {1}, chef", "{1} eggy | {1}, chef", "{1} nutty | {1}, chef", "{1} cr\u00e8me | {1}, chef", "{1} yolky | {1}, chef", "{1} walnutty | {1}, chef", "{1} butter's | {1}, chef", "{1} eggwhite | {1}, chef", "{1} oeuf | {1}, chef", "{1} retteb | {1}, chef", "{1} BUTTER | {1}, CHEF", "{1} Butterbrot | {1}, chef", "{1} suga | {1}, chef", "{1} flower | {1}, chef", "{1} salty | {1}, chef", "{1} sweetener | {1}, chef", "{1} mylk | {1}, chef", "{1} b\u00fctter | {1}, chef", "{1} custerd | {1}, chef", "{1} creme | {1}, chef", "{1} ei | {1}, chef", "{1} pain | {1}, chef", "{1} chair | {1}, chef", "{1} sal | {1}, chef", "{1} gift | {1}, chef", "{1} nuss | {1}, chef"),
		pairs("points, quotes and dashes", "en", "{1}... | {1}", "…{1} | {1}", "{1}… | {1}", "-- {1} | the {1}", "{1} -- | {1} –", "({1}?) | ({1})", "({1}!) {1} | ({1})", "{1}?? | {1}!", "{1} … | {1}", ". {1} | the {1}", "—{1}— | ({1})", "/{1} | the {1}", "¿{1}? | the {1}"),
		kind{"figures joined to a range or a sum", "en", func(r *rand.Rand, d good) (string, string) {
			if d.shape != "two" && d.shape != "steps" && d.shape != "pair" && d.shape != "four" && d.shape != "costs" && d.shape != "three" {
				return "", ""
			}
			end := "."
			for n := 3; n <= len(d.body.Slots); n++ {
				end = ", " + slot(n) + end
			}
			how := pick(r, []string{" – ", " - ", "–", "...", " … ", " to ", " of ", " over ", " by ", " x ", " up to ", " down to ", " against ", " under ", " on top of ", " off ", " out of ", " like ", " until ", " through ", " before ", " = ", " into ", " plus "})
			return pick(r, []string{"That's ", "So ", "I get ", ""}) + slot(1) + how + slot(2) + end, pick(r, []string{"That's ", "So ", "I get ", ""}) + slot(1) + pick(r, []string{" and ", ", ", ", then ", "; "}) + slot(2) + end
		}},
		kind{"words of the template in other places", "en", func(r *rand.Rand, d good) (string, string) {
			var words []string
			for _, s := range d.body.Slots {
				for _, w := range ownWords.FindAllString(s.Text, -1) {
					if len(w) > 2 && !verbs[strings.ToLower(w)] {
						words = append(words, w)
					}
				}
			}
			if len(words) == 0 {
				return "", ""
			}
			w := pick(r, words)
			return fill(d, pick(r, []string{w + " {1}", "{1} " + w, "{d} " + upper(w) + "!", "{1}, " + w, "{d} More " + w + "."})), fill(d, pick(r, innocent["en"]))
		}},
		kind{"roles of recipe and figure change", "en", func(r *rand.Rand, d good) (string, string) {
			if d.shape != "amount" && d.shape != "cost" {
				return "", ""
			}
			return pick(r, []string{"You need [[2]] for [[1]].", "[[1]] is made of [[2]].", "Put [[2]] into [[1]].", "[[2]] goes into [[1]].", "There's [[2]] in [[1]].", "For [[1]] get [[2]].", "[[1]] wants [[2]].", "[[1]] needs [[2]]."}),
				pick(r, []string{"You need [[1]] for [[2]].", "[[1]] is what [[2]] needs.", "Put [[1]] into [[2]].", "[[1]] goes into [[2]].", "There's [[1]] in [[2]].", "For [[2]] get [[1]].", "[[2]] wants [[1]].", "[[2]] needs [[1]]."})
		}},
		kind{"figure taken from the recipe", "en", func(r *rand.Rand, d good) (string, string) {
			if d.shape != "amount" {
				return "", ""
			}
			return pick(r, []string{"Take [[1]] out of [[2]].", "Take [[1]] off [[2]].", "[[2]] has [[1]] too many.", "Leave [[1]] out of [[2]].", "Get [[1]] out of [[2]].", "[[2]] is [[1]] short.", "[[2]] is down [[1]].", "[[1]] has to come out of [[2]].", "Put [[1]] next to [[2]].", "Take [[1]] from [[2]].", "[[2]] and [[1]] on top.", "[[2]] is out of [[1]].", "Set [[1]] against [[2]].", "Give [[1]] back to [[2]]."}),
				pick(r, []string{"Take [[1]] for [[2]].", "Get [[1]] for [[2]].", "[[2]] has [[1]] in it.", "Put [[1]] in [[2]].", "Use [[1]] in [[2]].", "[[2]] has [[1]].", "Set [[1]] aside for [[2]].", "[[1]] has to go into [[2]]."})
		}},
		kind{"what somebody is said to have said", "en", func(r *rand.Rand, d good) (string, string) {
			return fill(d, pick(r, []string{"You said {1}", "some say {1}", "who says {1}", "can it be {1}", "let's say {1}", "call it {1}", "try {1}", "start with {1}", "think {1}", "you could do with {1}", "I'd go for {1}", "could do {1}"})), fill(d, pick(r, innocent["en"]))
		}},
	}
	for _, lang := range languages[1:] {
		kinds = append(kinds, around("small words before a figure "+lang, lang, small[lang], "%s {1}"))
	}
	return kinds
}

var ownWords = regexp.MustCompile(`\pL+`)

// verbs of a step and words that say what a figure is: said again they harm nobody.
var verbs = map[string]bool{"total": true, "core": true, "bake": true, "rest": true, "set": true, "keeps": true, "reduce": true, "cost": true, "prove": true, "the": true, "and": true, "for": true, "pan": true, "reading": true, "house": true, "point": true, "answer": true, "gel": true, "reduction": true}

func upper(w string) string {
	r := []rune(w)
	r[0] = unicode.ToUpper(r[0])
	return string(r)
}
