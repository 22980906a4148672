package spoil

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/bot/reply"
)

// good is a draft that says a real reply in other words.
type good struct {
	lang, shape, text string
	of                *caught
	body              *reply.Template // of.body in the language of the draft
}

// kind is one way to spoil a good draft. The twin looks like what is spoiled and
// is legitimate. Both empty: the draft offers no place for it.
type kind struct {
	name, lang string // lang "": drafts of any language
	make       func(r *rand.Rand, d good) (bad, twin string)
}

// drawer draws good drafts.
type drawer struct {
	real   map[string][]*caught // by shape
	shapes map[string][]string  // by language
}

func newDrawer(t testing.TB) *drawer {
	d := &drawer{map[string][]*caught{}, map[string][]string{}}
	for shape, qs := range questions {
		for i, c := range catch(t, qs) {
			if c == nil {
				t.Fatalf("%q: the reply may not be worded anew", qs[i])
			}
			d.real[shape] = append(d.real[shape], c)
		}
		for _, text := range english[shape] {
			if n := strings.Count(text, "[["); n != len(d.real[shape][0].body.Slots) {
				t.Fatalf("%q holds %d slots, replies of its shape %d", text, n, len(d.real[shape][0].body.Slots))
			}
		}
		for _, c := range d.real[shape] {
			if len(c.body.Slots) != len(d.real[shape][0].body.Slots) {
				t.Fatalf("%q has %d slots, others of its shape %d", c.question, len(c.body.Slots), len(d.real[shape][0].body.Slots))
			}
		}
	}
	d.shapes["en"] = slices.Sorted(maps.Keys(english))
	for lang, shapes := range others {
		d.shapes[lang] = slices.Sorted(maps.Keys(shapes))
	}
	return d
}

// languages of the drafts, in a fixed order.
var languages = append([]string{"en"}, slices.Sorted(maps.Keys(others))...)

func (d *drawer) draw(r *rand.Rand, lang string) good {
	if lang == "" {
		lang = "en"
		if r.IntN(4) == 0 {
			lang = languages[r.IntN(len(languages))]
		}
	}
	book := english
	if lang != "en" {
		book = others[lang]
	}
	shape := pick(r, d.shapes[lang])
	if lang == "en" && r.IntN(3) > 0 { // as kitchens ask: amounts most
		shape = "amount"
	}
	g := good{lang: lang, shape: shape, text: pick(r, book[shape]), of: pick(r, d.real[shape])}
	g.text = strings.Replace(pick(r, frames[lang]), "{d}", g.text, 1)
	body := *g.of.body
	body.Language = lang
	g.body = &body
	return g
}

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }

func slot(n int) string { return "[[" + strconv.Itoa(n) + "]]" }

// put replaces the slot n, a figure, with a text in which {1} is the slot.
func put(d good, n int, text string) string {
	return strings.Replace(d.text, slot(n), strings.ReplaceAll(text, "{1}", slot(n)), 1)
}

// fill sets a pattern: {d} is the draft, {1} its first slot, which is a figure
// in every reply; {2} is a slot of any place.
func fill(d good, pattern string) string {
	if strings.Contains(pattern, "{d}") {
		return strings.ReplaceAll(pattern, "{d}", d.text)
	}
	return put(d, 1, pattern)
}

// innocent stand where a pair has no twin of its own.
var innocent = map[string][]string{
	"en":         {"the {1}", "your {1}", "our {1}", "{1}, chef"},
	"fr":         {"les {1}", "tes {1}", "({1})"},
	"de":         {"die {1}", "deine {1}", "({1})"},
	"es":         {"los {1}", "tus {1}", "({1})"},
	"it":         {"({1})"},
	"pt":         {"os {1}", "({1})"},
	"sentence":   {"{d} There you go.", "{d} Hope that helps!", "Sure: {d}", "{d} Anything else, just ask.", "So: {d}", "{d} Good to go!"},
	"sentencefr": {"{d} Bon courage !", "Voilà : {d}"},
	"sentencede": {"{d} Viel Erfolg!", "Also: {d}"},
	"sentencees": {"{d} ¡Suerte!", "Claro: {d}"},
	"sentenceit": {"{d} Buon lavoro!", "Ecco: {d}"},
	"sentencept": {"{d} Bom trabalho!", "Claro: {d}"},
}

// pairs is a kind made of patterns "bad | twin".
func pairs(name, lang string, list ...string) kind {
	return kind{name, lang, func(r *rand.Rand, d good) (string, string) {
		bad, twin, has := strings.Cut(pick(r, list), " | ")
		if !has {
			set := d.lang
			if strings.Contains(bad, "{d}") {
				set = "sentence"
				if d.lang != "en" {
					set += d.lang
				}
			}
			twin = pick(r, innocent[set])
		}
		return fill(d, bad), fill(d, twin)
	}}
}

// around is a kind that puts words of a list, one at a time, into patterns in
// which %s is the word.
func around(name, lang string, words []string, patterns ...string) kind {
	return kind{name, lang, func(r *rand.Rand, d good) (string, string) {
		bad, twin, has := strings.Cut(pick(r, patterns), " | ")
		if !has {
			return pairs(name, lang, strings.ReplaceAll(bad, "%s", pick(r, words))).make(r, d)
		}
		return fill(d, strings.ReplaceAll(bad, "%s", pick(r, words))), fill(d, twin)
	}}
}
