package reply

import (
	"slices"
	"strconv"
	"strings"

	"tamis/bot/answer"
)

// Slot is one piece of a reply that nobody words anew: a number with its unit
// and name, a recipe with its size.
type Slot struct {
	Text  string // as it stands in a sentence
	Means string // what it is, for who words the rest
}

// Template is the part of a reply that may be said in other words, its slots
// numbered from 1.
type Template struct {
	Slots    []Slot
	Language string // of the house: "en"
}

// Text is the template with its slots as [[1]], one a line.
func (t *Template) Text() string {
	var b strings.Builder
	for i := range t.Slots {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString("[[" + strconv.Itoa(i+1) + "]]")
	}
	return b.String()
}

// mostSlots is how many slots somebody can still put into a sentence or two.
const mostSlots = 6

// wordable are the kinds of answers whose body may be said in other words.
// Allergens, diets, safety, refusals, rescues and changes never are.
var wordable = []string{"lookup", "scale", "convert", "time", "cost", "balance", "gel", "reduce"}

// template returns what of an answer may be said in other words, or nil.
func (b *block) template(a *answer.Answer) *Template {
	if a.Status != answer.StatusAnswer || len(a.Words) > 0 || len(b.slots) == 0 || len(b.slots) > mostSlots || !slices.Contains(wordable, a.About) {
		return nil
	}
	switch a.Form {
	case answer.FormTalk, answer.FormCard, answer.FormMethod, answer.FormChange, answer.FormWords, answer.FormSets:
		return nil
	}
	if slices.ContainsFunc(a.Facts, func(f answer.Fact) bool { return f.HasItems || f.Was != nil }) {
		return nil
	}
	return &Template{Slots: slices.Clone(b.slots)}
}
