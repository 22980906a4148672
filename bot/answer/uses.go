package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/allergen"
	"tamis/calc/quantity"
	"tamis/kb"
)

// uses: which recipes use something, directly and through links.
func uses(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSets
	if len(q.Items)+len(q.Exclude)+len(q.Allergen) == 0 {
		b.contents(a, q)
		return
	}
	if len(q.Items)+len(q.Exclude) == 0 {
		b.listing(a, q)
		return
	}
	direct := b.using(q)
	if len(direct) == 0 {
		a.unknown("not used", strings.Join(itemTexts(q.Items), ", "))
		return
	}
	if len(q.Allergen)+len(q.Exclude) > 0 {
		b.usesWithout(a, q, direct)
		return
	}
	var names, through []string
	for _, r := range direct {
		names = append(names, r.Name)
	}
	seen := map[*kb.Recipe]bool{}
	for _, r := range direct {
		seen[r] = true
	}
	queue := slices.Clone(direct)
	of := b.asked(q)
	for len(queue) > 0 {
		r := queue[0]
		queue = queue[1:]
		for _, u := range b.Snap.UsedIn(r) {
			if !seen[u] {
				seen[u] = true
				if slices.Contains(of, u) {
					through = append(through, u.Name)
				}
				queue = append(queue, u)
			}
		}
	}
	slices.Sort(names)
	slices.Sort(through)
	title := strings.Join(itemTexts(q.Items), " + ")
	a.add(Fact{What: "recipes", HasItems: true, Items: names, From: FromBook, How: title})
	if len(through) > 0 {
		a.add(Fact{What: "through parts", HasItems: true, Items: through, From: FromBook})
	}
	a.Title = Title{Recipe: ofKind(q, title)}
}

// mostNames of a section are written out: a phone shows no more.
const mostNames = 60

// contents lists the book's recipes by section; of a large book only how many each has.
func (b *Book) contents(a *Answer, q *question.Question) {
	a.Form = FormAmounts
	of := b.asked(q)
	names := map[string][]string{}
	var sections []string
	for _, r := range of {
		if _, ok := names[r.Section]; !ok {
			sections = append(sections, r.Section)
		}
		names[r.Section] = append(names[r.Section], r.Name)
	}
	slices.Sort(sections)
	a.add(counted("recipes", len(of), ""))
	for _, sec := range sections {
		what := sec
		if what == "" {
			what = "others"
			if len(sections) == 1 {
				what = "names"
			}
		}
		if len(of) > mostNames && len(sections) > 1 || len(names[sec]) > mostNames {
			a.add(counted("recipes", len(names[sec]), what))
			continue
		}
		slices.Sort(names[sec])
		a.add(Fact{What: what, HasItems: true, Items: names[sec], From: FromBook})
	}
	a.Title = Title{Recipe: q.AmongText}
	if a.Title.Recipe == "" {
		a.Title.Recipe = b.Snap.House.Name
	}
}

func counted(what string, n int, at string) Fact {
	v := quantity.Int(int64(n))
	return Fact{What: what, Value: &v, Unit: "each", Shown: v.String(), At: at, From: FromBook}
}

// usesWithout: which of the recipes that use something, themselves or in a
// part, hold none of what is to be avoided.
func (b *Book) usesWithout(a *Answer, q *question.Question, direct []*kb.Recipe) {
	var excluded []allergen.Allergen
	for _, x := range q.Allergen {
		excluded = append(excluded, allergen.Allergen{Name: x.Name, Kind: x.Kind})
	}
	with, of := slices.Clone(direct), b.asked(q)
	for i := 0; i < len(with); i++ {
		for _, u := range b.Snap.UsedIn(with[i]) {
			if !slices.Contains(with, u) && slices.Contains(of, u) {
				with = append(with, u)
			}
		}
	}
	var fine, unknown []string
	for _, r := range with {
		if slices.ContainsFunc(q.Exclude, func(it question.Item) bool {
			lines, _ := it.Matches(r)
			return len(lines) > 0 || it.Nested(r)
		}) {
			continue
		}
		switch ok, _, open := b.suitsGuest(r, excluded, nil); {
		case ok && open:
			unknown = append(unknown, r.Name)
		case ok:
			fine = append(fine, r.Name)
		}
	}
	slices.Sort(fine)
	slices.Sort(unknown)
	var said []string
	if len(q.Items) > 0 {
		said = append(said, strings.Join(itemTexts(q.Items), " + "))
	}
	for _, x := range q.Allergen {
		said = append(said, "without "+x.String())
	}
	for i := range q.Exclude {
		said = append(said, "without "+q.Exclude[i].Text)
	}
	title := ofKind(q, strings.Join(said, ", "))
	a.add(Fact{What: "recipes", HasItems: true, Items: fine, From: FromBook, How: title})
	if len(unknown) > 0 {
		a.add(Fact{What: "not known", HasItems: true, Items: unknown, From: FromBook})
	}
	a.Title = Title{Recipe: title}
	a.Recipe = nil
	if len(excluded) > 0 {
		a.caution("allergens")
	}
}

// asked are the recipes that a question is about.
func (b *Book) asked(q *question.Question) []*kb.Recipe {
	if q.Among != nil {
		return q.Among
	}
	return b.Snap.Recipes
}

// using are the recipes in which all items stand on a line.
func (b *Book) using(q *question.Question) []*kb.Recipe {
	var out []*kb.Recipe
	for _, r := range b.asked(q) {
		all := true
		for i := range q.Items {
			if lines, _ := q.Items[i].Matches(r); len(lines) == 0 {
				all = false
				break
			}
		}
		if all {
			out = append(out, r)
		}
	}
	return out
}

// ofKind is a title with the kind of recipes that is asked about before it.
func ofKind(q *question.Question, title string) string {
	if q.AmongText == "" {
		return title
	}
	return q.AmongText + ", " + title
}
