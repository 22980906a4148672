package index

import (
	"fmt"
	"strings"

	"github.com/blevesearch/bleve/v2/analysis"
	"github.com/blevesearch/bleve/v2/document"
	api "github.com/blevesearch/bleve_index_api"

	"tamis/kb"
	"tamis/kb/recipe"
)

// The fields of a recipe in the index.
const (
	fieldWhole      = "whole" // titles and aliases, each one term
	fieldTitle      = "title"
	fieldAlias      = "alias"
	fieldIngredient = "ingredient" // names of lines, of linked recipes, of the larder's items
	fieldPrefix     = "prefix"     // beginnings of words of the three before
	fieldText       = "text"       // section, method, notes
)

// entry is what the index holds of a recipe: field by field, its values.
type entry struct {
	title             string
	also, ingredients []string
	text              []string
}

func entryOf(r *kb.Recipe) entry {
	e := entry{title: r.Name, also: r.Also}
	seen := map[string]bool{}
	uses := func(names ...string) {
		for _, s := range names {
			if s != "" && !seen[s] {
				seen[s] = true
				e.ingredients = append(e.ingredients, s)
			}
		}
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		uses(l.Name, l.As)
		if l.Link != nil {
			uses(l.Link.Name)
			uses(l.Link.Also...)
		}
		if l.Item != nil {
			uses(l.Item.Name) // its other names are asked of the larder
		}
		e.write(l.Part, l.Note, l.Prep)
	}
	e.write(r.Section, r.Notes)
	for i := range r.Method {
		e.step(&r.Method[i])
	}
	for _, k := range r.Keeps {
		e.write(k.Text)
	}
	e.write(r.Cautions...)
	e.write(r.Suits...)
	for _, f := range r.If {
		e.write(f.Fault, f.Words)
	}
	for _, o := range r.Instead {
		e.write(o.Text)
	}
	return e
}

func (e *entry) step(s *recipe.Step) {
	e.write(s.Verb, s.Words, s.Until, s.Where, s.In, s.Caution, s.With)
}

func (e *entry) write(words ...string) {
	for _, w := range words {
		if w != "" {
			e.text = append(e.text, w)
		}
	}
}

// value is one value of a field with what makes terms of it.
type value struct {
	field string
	by    analysis.Analyzer
	text  string
}

func (a *analysers) values(e entry) []value {
	var out []value
	add := func(field string, by analysis.Analyzer, texts ...string) {
		for _, t := range texts {
			out = append(out, value{field, by, t})
		}
	}
	add(fieldWhole, a.whole, e.title)
	add(fieldWhole, a.whole, e.also...)
	add(fieldTitle, a.title, e.title)
	add(fieldAlias, a.title, e.also...)
	add(fieldIngredient, a.ingredient, e.ingredients...)
	add(fieldPrefix, a.titlePrefix, e.title)
	add(fieldPrefix, a.titlePrefix, e.also...)
	add(fieldPrefix, a.ingredientPrefix, e.ingredients...)
	add(fieldText, a.text, strings.Join(e.text, "\n"))
	return out
}

// document makes the recipe's document; its id is its place in the snapshot, so
// that equal scores stand in order of name.
func (a *analysers) document(place int, r *kb.Recipe) *document.Document {
	d := document.NewDocument(docID(place))
	for _, v := range a.values(entryOf(r)) {
		d.AddField(document.NewTextFieldCustom(v.field, nil, []byte(v.text), api.IndexField, v.by))
	}
	return d
}

func docID(place int) string { return fmt.Sprintf("%08d", place) }
