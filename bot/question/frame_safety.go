package question

import (
	"slices"
	"strings"
	"sync"

	"tamis/calc/quantity"
)

var safetyWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/safety.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	return t
})

// safetyTopics are the hazards that have a caution of their own; plain ones are
// asked about with any word of leave, the others only where safety is meant: a
// meringue is mostly just baked.
var safetyTopics = []struct {
	name  string
	plain bool
}{{"raw egg", true}, {"raw flour", true}, {"infused oil", true}, {"vacuum", true}, {"sous vide", true}, {"sabayon", false}, {"dry ice", true}, {"liquid nitrogen", true}}

// frameSafety: whether raw egg, an oil with garlic, a vacuum bag… is all right.
func frameSafety(s *sense) []reading {
	if s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueDiet) || len(s.l.tokens) > 24 {
		return nil
	}
	s = s.guestSlips()
	safe, may := s.safetyPhrase("ask"), s.safetyPhrase("ask may") || s.safetyPhrase("ask hot")
	if s.safetyPhrase("sous vide") && s.any(cueHowlong, cueTemp) { // outside the book there is only the caution
		may = true
	}
	frozenGas := s.safetyPhrase("dry ice") || s.safetyPhrase("liquid nitrogen") // a danger whatever is asked of it
	guests := s.guests()
	if !safe && !may && !frozenGas && len(guests) == 0 {
		return nil
	}
	if !safe && !frozenGas && len(guests) == 0 && s.any(cueTemp) && s.safetyPhrase("rule egg store") { // how cold, not what raw egg may do
		return nil
	}
	var found []string
	hot := s.safetyPhrase("ask hot")
	for _, t := range safetyTopics {
		if s.safetyPhrase(t.name) && (safe || t.plain || (hot || len(guests) > 0 && !s.namesRecipe()) && t.name == "sabayon") {
			found = append(found, t.name)
		}
	}
	if len(found) == 0 && s.safetyPhrase("room") && s.namesOil() {
		found = append(found, "infused oil")
	}
	if len(found) > 0 && s.safetyPhrase("guest drink") && slices.ContainsFunc(guests, func(g string) bool { return g != "old" }) && !s.namesRecipe() {
		found = append(found, "alcohol")
	}
	if len(found) == 0 {
		return nil
	}
	if !safe && hot && slices.Contains(found, "sabayon") && s.namesRecipe() && !s.longerThanName("sabayon") {
		return nil // the book's own step is asked for
	}
	if !safe && hot && slices.Contains(found, "sabayon") && len(guests) == 0 && s.bookHeats("sabayon") {
		return nil // its sugar, in a step of the book
	}
	if !safe && hot && !s.safetyPhrase("ask may") && slices.Contains(found, "sabayon") && s.bookHas("sabayon") {
		return nil // so it is whatever way through the message was taken
	}
	for _, i := range s.names { // the book's own recipe of that name is asked about
		if o := s.recipesOf(i, 1); !safe && len(o) > 0 && !o[0].part && s.any(cueKeeps, cueHowlong) && !s.safetyPhrase("room") {
			return nil
		}
	}
	r := s.reading(WantCaution, "safety")
	for i := range r.used {
		r.used[i] = true
	}
	r.extra = -s.p.cost - 4
	r.q.Foods, r.q.Temp = found, hot
	for _, i := range s.names {
		if hot && !safe && s.longerThanName("sabayon") {
			break // "italian meringue" is not the book's meringue
		}
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part && len(r.q.Targets) == 0 {
			r.q.Targets = []Target{{Recipe: o[0].recipe}}
		}
	}
	return []reading{r}
}

// organisms are what a lethality may be asked for, by the role of their words.
var organisms = []string{"Clostridium botulinum", "Salmonella", "Listeria", "Escherichia coli", "Clostridium perfringens", "Bacillus cereus", "Campylobacter"}

// frameKilled: what a logged run of heat did to an organism: "how many log
// reductions did the jus get".
func frameKilled(s *sense) []reading {
	if !s.safetyPhrase("kill") || len(s.l.tokens) > 18 {
		return nil
	}
	r := s.reading(WantKilled, "log")
	for i := range r.used {
		if sp := s.span(i); sp.kind != spanName && sp.kind != spanQuantity && sp.kind != spanFactor {
			r.used[i] = true
		}
	}
	for _, o := range organisms {
		if s.safetyPhrase("organism " + o) {
			r.q.Foods = append(r.q.Foods, o)
		}
	}
	r.extra = -s.p.cost - 4
	if len(s.names) == 0 {
		return []reading{r}
	}
	var out []reading
	for _, p := range s.picks() {
		if p.talk || len(p.targets) != 1 {
			continue
		}
		one := r.clone()
		one.q.Targets = slices.Clone(p.targets)
		for _, i := range p.spans {
			one.used[i] = true
		}
		one.extra += p.cost
		out = append(out, one)
	}
	return out
}

// longerThanName reports whether a phrase of that role says more than a name of
// the book in it: "italian meringue" where the book has a meringue.
func (s *sense) longerThanName(role string) bool {
	from, to := s.safetySpan(role)
	return slices.ContainsFunc(s.names, func(i int) bool {
		sp := s.span(i)
		return sp.from >= from && sp.to <= to && sp.to-sp.from < to-from
	})
}

// bookHas reports whether a phrase of that role is the name of a recipe of the book.
func (s *sense) bookHas(role string) bool {
	from, to := s.safetySpan(role)
	return slices.ContainsFunc(s.l.starts[from], func(sp span) bool { return sp.kind == spanName && sp.to >= to && s.l.recipeAt(&sp) })
}

// ruleTopics are what a food code has figures for, the more special first.
var ruleTopics = []string{"date", "reheat", "hot", "pasteurise", "egg", "cold", "cool"}

// frameLimit: what the food code says of cooling, holding, reheating, dating,
// cooking and pasteurising.
func frameLimit(s *sense) []reading {
	if s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueDiet, cueUnsafe, cueRescue, cueChange) || len(s.l.tokens) > 18 || s.asksUntil() {
		return nil
	}
	law, fig := s.safetyPhrase("rule ask"), s.safetyPhrase("rule figure")
	must := s.safetyPhrase("rule must")
	topic := ""
	for _, t := range ruleTopics {
		if !s.safetyPhrase("rule " + t) {
			continue
		}
		// what a step of the book is called too needs the law or a must beside it
		plain := t == "date" || t == "reheat" || t == "hot"
		if law || plain && fig || t == "reheat" && s.saysOf("twice", "again", "second", "third") || fig && must && (t == "cool" || t == "cold") || t == "egg" && s.any(cueTemp) && s.safetyPhrase("rule egg order") || t == "cold" && s.any(cueTemp) && s.safetyPhrase("rule egg store") || t == "pasteurise" && fig && s.safetyPhrase("rule of") || t == "reheat" && (s.ends("to") || s.ends("temp")) || s.safetyPhrase("rule "+t+" itself") {
			topic = t
			break
		}
	}
	if topic == "" {
		return nil
	}
	again := topic == "reheat" && s.saysOf("twice", "again", "second", "third")
	for _, i := range s.quant { // a size or a temperature asks something else
		if s.span(i).kind == spanFactor && !again || s.span(i).kind != spanFactor && s.span(i).q.Q.Unit.Dim != quantity.None {
			return nil
		}
	}
	r := s.reading(WantLimit, "safety")
	for i := range r.used {
		r.used[i] = true
	}
	r.q.Foods = []string{topic}
	if again {
		r.q.Step = 2
	}
	strange := 0
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanUnused && (sp.strange || sp.food) {
			strange++
		}
	}
	if strange > 2 {
		return nil
	}
	r.extra = -s.p.cost - 4
	for _, i := range s.names {
		o := s.recipesOf(i, 1)
		if len(o) == 0 || s.negated(i) || o[0].part && s.l.ingredientAt(s.span(i)) {
			continue
		}
		if len(r.q.Targets) > 0 && !(o[0].recipe.IsPlate && s.outLimit()) { // "out of the fridge on the cheek plate": the plate says how long
			continue
		}
		r.q.Targets = []Target{{Recipe: o[0].recipe, Part: o[0].part}}
	}
	if topic == "pasteurise" && !law && (len(r.q.Targets) > 0 || s.recipeWritten()) {
		return nil // the book's own step is asked for
	}
	return []reading{r}
}

// recipeWritten reports whether a recipe of the book is written out, whatever way
// through the message was taken.
func (s *sense) recipeWritten() bool {
	for _, spans := range s.l.starts {
		for i := range spans {
			if spans[i].kind == spanName && s.l.exactRecipe(spans[i].from, spans[i].to) {
				return true
			}
		}
	}
	return false
}

// safetyPhrase reports whether a phrase of that role stands in the message.
func (s *sense) safetyPhrase(role string) bool {
	from, to := s.safetySpan(role)
	return to > from
}

// safetySpan are the tokens of the first phrase of that role, none if none stands there.
func (s *sense) safetySpan(role string) (from, to int) {
	words := make([]string, len(s.l.tokens))
	for k := range words {
		words[k] = s.l.tokens[k].plain
	}
	for k := range words {
		if n, _ := safetyWords().longest(words[k:], []workRole{workRole(role)}); n > 0 {
			return k, k + n
		}
	}
	return 0, 0
}

// readPhrases reads a file of phrases by role.
func readPhrases(file string) (*workTable, error) {
	data, err := wordFiles.ReadFile(file)
	if err != nil {
		return nil, err
	}
	t := &workTable{phrases: map[string][]workPhrase{}}
	return t, t.read(file, strings.NewReader(string(data)))
}
