package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/kb"
)

// thingAskedFirst puts what is asked of a place or a machine before the rest that the house
// says of it: "how many trays in the freezer", "how long does the machine take".
func thingAskedFirst(a *Answer, q *question.Question) {
	words := question.Words(q.Say)
	said := func(ws ...string) bool {
		return slices.ContainsFunc(ws, func(w string) bool { return slices.Contains(words, w) })
	}
	what := ""
	switch {
	case q.Thing != nil && q.Thing.Kind == kb.ScaleName && said("max", "maximum", "most", "limit", "capacity", "take", "heaviest"):
		what = "up to"
	case said("tray") && said("many"):
		what = "trays"
	case said("long", "minute", "min") && said("how") && said("long", "many"):
		what = "takes"
	case said("little", "minimum", "least", "smallest"):
		what = "at least"
	}
	if i := slices.IndexFunc(a.Facts, func(f Fact) bool { return f.What == what }); i > 0 {
		f := a.Facts[i]
		a.Facts = slices.Insert(slices.Delete(a.Facts, i, i+1), 0, f)
	}
}
