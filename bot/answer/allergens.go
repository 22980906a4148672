package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/allergen"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// allergens: what a recipe or ingredient lists. Contains first, always a set,
// empty too; what states nothing is named.
func allergens(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSets
	n, label := b.listTree(a, q)
	if n == nil {
		return
	}
	rep, err := allergen.Roll(n)
	if err != nil {
		a.unknown("circle", label)
		return
	}
	list := b.allergenList()
	found := Fact{What: "contains", HasItems: true, Of: label, From: FromBook}
	var ways []string
	for _, f := range rep.Contains {
		if !asked(q.Allergen, f.Allergen) {
			continue
		}
		n := b.allergenName(list, f.Allergen)
		found.Items = append(found.Items, n)
		ways = append(ways, n+": "+waysText(f.Ways))
	}
	found.How = strings.Join(ways, "; ")
	a.add(found)
	byWay := ways
	may := Fact{What: "may contain", HasItems: true, Of: label, From: FromBook}
	ways = nil
	for _, f := range rep.MayContain {
		if !asked(q.Allergen, f.Allergen) {
			continue
		}
		n := b.allergenName(list, f.Allergen)
		may.Items = append(may.Items, n)
		ways = append(ways, n+": "+waysText(f.Ways))
	}
	may.How = strings.Join(ways, "; ")
	traces := len(q.Allergen) == 0 && saysAny(q.Say, " may contain ", " might contain ", " may be in ", " might be in ", " could be in ", " trace ", " traces ", " made with shared ", " shared equipment ") || len(q.Allergen) == 0 && saysAny(q.Say, " may ", " might ", " could ") && saysAny(q.Say, " contain anything ", " contain something ", " contain what ")
	switch {
	case len(may.Items) == 0 && !traces:
	case traces: // that is what was asked
		a.Facts = append([]Fact{may}, a.Facts...)
	default:
		a.add(may)
	}
	if byWay = append(byWay, ways...); len(byWay) > 0 && len(q.Allergen) > 0 && saysAny(q.Say, " which ", " where ", " why ", " ingredient ", " come from ", " bring ", " bringing ") {
		a.note("by way of", strings.Join(byWay, "; "))
	}
	if want := append(slices.Clone(q.Allergen), q.Named...); len(want) > 0 {
		var not []string
		for _, x := range want {
			if !slices.ContainsFunc(rep.Contains, func(f allergen.Found) bool { return hits(f.Allergen, x) }) &&
				!slices.ContainsFunc(rep.MayContain, func(f allergen.Found) bool { return hits(f.Allergen, x) }) {
				not = append(not, b.allergenName(list, allergen.Allergen{Name: x.Name, Kind: x.Kind}))
			}
		}
		if len(not) > 0 {
			a.add(Fact{What: "not listed", HasItems: true, Items: not, Of: label, From: FromBook})
		}
	}
	if f := b.otherAllergens(q, rep, label); len(f.Items) > 0 {
		a.add(f)
	}
	if unknown := lastNames(rep.NotKnown); len(unknown) > 0 {
		a.add(Fact{What: "not known", HasItems: true, Items: unknown, Of: label, From: FromBook, How: ""})
	}
	a.Title = Title{Recipe: label}
	a.caution("allergens")
}

// otherAllergens is what a recipe contains beside the allergens that were asked for:
// no clean bill for a guest who names but one.
func (b *Book) otherAllergens(q *question.Question, rep allergen.Report, label string) Fact {
	f := Fact{What: "contains", HasItems: true, Of: label, From: FromBook}
	if q.Want != question.WantAllergens || len(q.Allergen) == 0 || len(q.Targets) == 0 {
		return f
	}
	var ways []string
	for _, x := range rep.Contains {
		if !asked(q.Allergen, x.Allergen) {
			n := b.allergenName(b.allergenList(), x.Allergen)
			f.Items = append(f.Items, n)
			ways = append(ways, n+": "+waysText(x.Ways))
		}
	}
	f.How = strings.Join(ways, "; ")
	return f
}

// listTree is the tree of what was asked about: a recipe, several, or an ingredient.
func (b *Book) listTree(a *Answer, q *question.Question) (*allergen.Node, string) {
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		r := q.Targets[0].Recipe
		n := b.listOf(r)
		label := r.Name
		if in := q.InsteadOf(r); in != nil && len(q.Targets) == 1 {
			n = b.listWith(n, r, in)
			a.note("made with", in.Name, in.Line)
		}
		if len(q.Exclude) > 0 && len(q.Targets) == 1 {
			var left []string
			if n, left = listWithout(n, r, q.Exclude); len(left) > 0 {
				a.note("listed without", strings.Join(left, ", "))
			}
		}
		if len(q.Targets) > 1 {
			n = &allergen.Node{Name: r.Name}
			var names []string
			for _, t := range q.Targets {
				n.Children = append(n.Children, b.listOf(t.Recipe))
				names = append(names, t.Recipe.Name)
			}
			label = strings.Join(names, " + ")
		}
		return n, label
	}
	if len(q.Items) > 0 && q.Items[0].Larder != nil {
		a.About = q.About
		return itemList(q.Items[0].Larder), q.Items[0].Larder.Name
	}
	a.asks("ask which", nil)
	return nil, ""
}

// listWithout is a recipe's tree less the lines that are left out, and their names.
func listWithout(n *allergen.Node, r *kb.Recipe, items []question.Item) (*allergen.Node, []string) {
	out := *n
	out.Children = nil
	var left []string
	for i := range r.Lines {
		l := &r.Lines[i]
		if slices.ContainsFunc(items, func(it question.Item) bool { lines, _ := it.Lines(r); return slices.Contains(lines, l) }) {
			left = append(left, l.Name)
			continue
		}
		out.Children = append(out.Children, n.Children[i])
	}
	return &out, left
}

// listWith is a recipe's tree with the chef's stand-in in the place of a line.
func (b *Book) listWith(n *allergen.Node, r *kb.Recipe, in *recipe.Instead) *allergen.Node {
	out := *n
	out.Children = slices.Clone(n.Children)
	to := &allergen.Node{Name: in.Name}
	if other, ok := b.Snap.RecipeNamed(in.Name); ok {
		to = b.listOf(other)
	} else if it := b.Snap.Larder.Find(in.Name); it != nil {
		to = itemList(it)
	}
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Fold == name.Fold(in.Line) || l.FoldAs == name.Fold(in.Line) {
			out.Children[i] = to
		}
	}
	return &out
}

func (b *Book) allergenList() allergen.List {
	if strings.EqualFold(b.Snap.House.Allergens, "US") {
		return allergen.US
	}
	return allergen.EU
}

// allergenName is the name under the house's list, with the kind.
func (b *Book) allergenName(l allergen.List, x allergen.Allergen) string {
	n, _ := l.Name(x)
	if x.Kind != "" && !strings.Contains(n, x.Kind) {
		return n + " (" + x.Kind + ")"
	}
	return n
}

// asked reports whether an allergen is among those asked for; none asked means all.
func asked(want []recipe.Allergen, f allergen.Allergen) bool {
	if len(want) == 0 {
		return true
	}
	return slices.ContainsFunc(want, func(x recipe.Allergen) bool { return hits(f, x) })
}

func hits(f allergen.Allergen, x recipe.Allergen) bool {
	is, may := allergen.Match(f, []allergen.Allergen{{Name: x.Name, Kind: x.Kind}})
	return is || may
}

func waysText(ws []allergen.Way) string {
	var out []string
	for i, w := range ws {
		if i == 3 {
			out = append(out, "…")
			break
		}
		out = append(out, wayText(w.Path))
	}
	return strings.Join(out, ", ")
}

func lastNames(ws []allergen.Way) []string {
	var out []string
	for _, w := range ws {
		if n := len(w.Path); n > 0 && !slices.Contains(out, w.Path[n-1]) {
			out = append(out, w.Path[n-1])
		}
	}
	return out
}

// dietDone are diets that are answered from what is stated.
var dietDone = []string{"vegetarian", "vegan", "halal", "kosher", "pescatarian"}

// diets: whom it suits, by what is stated only.
func diets(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSets
	n, label := b.listTree(a, q)
	if n == nil {
		return
	}
	suits := Fact{What: "suits", HasItems: true, Of: label, From: FromBook}
	var why []string
	for _, d := range q.Diet {
		if !slices.Contains(dietDone, d) {
			b.otherDiet(a, q, d, label)
			continue
		}
		s, err := allergen.Suits(n, d)
		if err != nil {
			a.unknown("circle", label)
			return
		}
		switch s.Verdict {
		case allergen.Yes:
			suits.Items = append(suits.Items, d)
		case allergen.No:
			for _, w := range s.Lacks {
				why = append(why, wayText(append([]string{label}, w.Path...)))
			}
			a.note("lacks diet", d, strings.Join(firstWays(s.Lacks, label), ", "))
		default:
			a.unknown("diet unknown", d, strings.Join(firstWays(s.Silent, label), ", "))
			a.Choices = nil
			return
		}
	}
	if a.Status != StatusAnswer {
		return
	}
	if len(why) > 0 && len(suits.Items) == 0 { // "vegan?" of what is vegetarian
		for _, d := range dietDone {
			if s, err := allergen.Suits(n, d); err == nil && s.Verdict == allergen.Yes && !slices.Contains(q.Diet, d) {
				suits.Items = append(suits.Items, d)
			}
		}
	}
	suits.How = strings.Join(why, "; ")
	if slices.ContainsFunc(q.Diet, func(d string) bool { return slices.Contains(dietDone, d) }) {
		a.Facts = append([]Fact{suits}, a.Facts...)
	}
	a.Title = Title{Recipe: label}
	a.caution("diet")
}

func firstWays(ws []allergen.Way, label string) []string {
	var out []string
	for _, w := range ws {
		n := label
		if len(w.Path) > 0 {
			n = w.Path[len(w.Path)-1]
		}
		if !slices.Contains(out, n) && len(out) < 4 {
			out = append(out, n)
		}
	}
	return out
}

// otherDiet answers what no `suits` states: what in it a pregnant guest, or one
// who avoids alcohol or gelatine, asks about.
func (b *Book) otherDiet(a *Answer, q *question.Question, d, label string) {
	items := b.itemsUnder(q)
	var hit []string
	add := func(n string) {
		if !slices.Contains(hit, n) {
			hit = append(hit, n)
		}
	}
	for _, it := range items {
		switch d {
		case "alcohol":
			if it.Category == "alcohol" {
				add(it.Name)
			}
		case "gelatine":
			if it.Bloom != nil {
				add(it.Name)
			}
		case "pregnancy":
			if it.Category == "alcohol" || slices.ContainsFunc(it.Cautions, func(c string) bool { return strings.Contains(c, "raw") }) {
				add(it.Name)
			}
		case "pork", "rennet", "carmine":
			if it.AnimalWay == d || strings.Contains(strings.ToLower(it.Name), d) {
				add(it.Name)
			}
		case "meat":
			if it.Category == "meat" {
				add(it.Name)
			}
		}
	}
	if d == "pregnancy" {
		for _, r := range b.recipesUnder(q) {
			for _, c := range r.Cautions {
				add(r.Name + ": " + c)
			}
		}
	}
	a.add(Fact{What: "contains", HasItems: true, Items: hit, Of: label, From: FromBook, At: d})
	a.caution("diet " + d)
}

// itemsUnder are the ingredients of what was asked, through all links.
func (b *Book) itemsUnder(q *question.Question) []*larder.Item {
	var out []*larder.Item
	if len(q.Targets) == 0 && len(q.Items) > 0 && q.Items[0].Larder != nil {
		return []*larder.Item{q.Items[0].Larder}
	}
	for _, r := range b.recipesUnder(q) {
		for i := range r.Lines {
			if it := r.Lines[i].Item; it != nil && !slices.Contains(out, it) {
				out = append(out, it)
			}
		}
	}
	return out
}

// recipesUnder are the recipes asked about and those they draw on, each once.
func (b *Book) recipesUnder(q *question.Question) []*kb.Recipe {
	var out []*kb.Recipe
	seen := map[*kb.Recipe]bool{}
	var walk func(r *kb.Recipe)
	walk = func(r *kb.Recipe) {
		if r == nil || seen[r] {
			return
		}
		seen[r] = true
		out = append(out, r)
		for i := range r.Lines {
			walk(r.Lines[i].Link)
		}
	}
	for _, t := range q.Targets {
		walk(t.Recipe)
	}
	return out
}

// menuFor: what somebody can eat over the whole book, dishes first, part by part.
func menuFor(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSets
	var excluded []allergen.Allergen
	for _, x := range q.Allergen {
		excluded = append(excluded, allergen.Allergen{Name: x.Name, Kind: x.Kind})
	}
	var fine, without, unknown []string
	for _, r := range b.menu(q) {
		verdict, leave, open := b.suitsGuest(r, excluded, q.Diet)
		switch {
		case verdict && open:
			unknown = append(unknown, r.Name)
		case verdict:
			fine = append(fine, r.Name)
		case len(leave) > 0 && r.Makes.IsCovers():
			without = append(without, r.Name+" (leave off "+strings.Join(leave, " and ")+")")
		}
	}
	a.add(Fact{What: "suits", HasItems: true, Items: fine, From: FromBook, How: "no line lists it"})
	if len(without) > 0 {
		a.add(Fact{What: "suits in part", HasItems: true, Items: without, From: FromBook})
	}
	if len(unknown) > 0 {
		a.add(Fact{What: "not known", HasItems: true, Items: unknown, From: FromBook})
	}
	if len(fine) == 0 && !q.Whole && q.Among == nil {
		var parts []string
		for _, r := range b.Snap.Recipes {
			if r.Makes.IsCovers() {
				continue
			}
			if ok, _, open := b.suitsGuest(r, excluded, q.Diet); ok && !open {
				parts = append(parts, r.Name)
			}
		}
		if len(parts) > 0 {
			a.add(Fact{What: "recipes", HasItems: true, Items: parts, From: FromBook})
		}
	}
	var guest []string
	for _, x := range q.Allergen {
		guest = append(guest, "without "+x.String())
	}
	a.Title = Title{Recipe: ofKind(q, strings.Join(append(guest, q.Diet...), ", "))}
	a.Recipe = nil
	a.caution("allergens")
}

// menu are the recipes asked about; the dishes of the book if none are said, or
// all where it has none.
func (b *Book) menu(q *question.Question) []*kb.Recipe {
	if q.Whole || q.Among != nil {
		return b.asked(q)
	}
	var out []*kb.Recipe
	for _, r := range b.Snap.Recipes {
		if r.Makes.IsCovers() {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return b.Snap.Recipes
	}
	return out
}

// suitsGuest reports whether a dish holds none of what is left out; which parts
// must be left off for that; and whether something of it is unknown.
func (b *Book) suitsGuest(r *kb.Recipe, excluded []allergen.Allergen, diet []string) (ok bool, leave []string, open bool) {
	n := b.listOf(r)
	ok = true
	if len(excluded) > 0 {
		parts, err := allergen.PartsWithout(n, excluded)
		if err != nil {
			return false, nil, false
		}
		for _, p := range parts {
			switch p.Holding {
			case allergen.Holds, allergen.MayHold:
				ok = false
				leave = append(leave, p.Name)
			case allergen.NotKnown:
				open = true
			}
		}
		if len(leave) == len(parts) {
			leave = nil
		}
	}
	for _, d := range diet {
		s, err := allergen.Suits(n, d)
		if err != nil || s.Verdict == allergen.No {
			return false, nil, false
		}
		open = open || s.Verdict == allergen.Unknown
	}
	return ok, leave, open
}

// listing: which recipes list an allergen, and of which it is not known.
func (b *Book) listing(a *Answer, q *question.Question) {
	var names, may, unknown []string
	for _, r := range b.asked(q) {
		rep, err := allergen.Roll(b.listOf(r))
		if err != nil {
			continue
		}
		is := func(f allergen.Found) bool { return asked(q.Allergen, f.Allergen) }
		switch {
		case slices.ContainsFunc(rep.Contains, is):
			names = append(names, r.Name)
		case slices.ContainsFunc(rep.MayContain, is):
			may = append(may, r.Name)
		case len(rep.NotKnown) > 0:
			unknown = append(unknown, r.Name)
		}
	}
	var what []string
	for _, x := range q.Allergen {
		what = append(what, x.String())
	}
	a.add(Fact{What: "recipes", HasItems: true, Items: names, From: FromBook, How: strings.Join(what, ", ")})
	if len(may) > 0 {
		a.add(Fact{What: "may contain", HasItems: true, Items: may, From: FromBook})
	}
	if len(unknown) > 0 {
		a.add(Fact{What: "not known", HasItems: true, Items: unknown, From: FromBook})
	}
	a.Title = Title{Recipe: ofKind(q, strings.Join(what, ", "))}
	a.caution("allergens")
}

// saysAny reports whether one of the phrases, in single words between blanks, was said.
func saysAny(say string, phrases ...string) bool {
	say = " " + strings.Join(question.Words(say), " ") + " "
	return slices.ContainsFunc(phrases, func(p string) bool { return strings.Contains(say, p) })
}
