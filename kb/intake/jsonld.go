package intake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"tamis/kb/recipe"
)

// ReadJSONLD reads the schema.org/Recipe nodes of a JSON-LD text: one object, a
// list, or a @graph.
//
//   - Source: schema.org vocabulary, release 30.0.
//   - Errors: [ErrNoRecipe].
func ReadJSONLD(data []byte) ([]Draft, error) {
	if len(data) > MaxBytes {
		return nil, fmt.Errorf("%w: it is too long", ErrNoRecipe)
	}
	var whole any
	if err := json.Unmarshal(data, &whole); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoRecipe, err)
	}
	var out []Draft
	var walk func(v any, depth int)
	walk = func(v any, depth int) {
		if depth > 8 || len(out) >= most {
			return
		}
		switch v := v.(type) {
		case []any:
			for _, e := range v {
				walk(e, depth+1)
			}
		case map[string]any:
			if isType(v, "Recipe") {
				out = append(out, draftOf(v))
				return
			}
			for _, k := range []string{"@graph", "mainEntity", "itemListElement", "item"} {
				walk(v[k], depth+1)
			}
		}
	}
	walk(whole, 0)
	if len(out) == 0 {
		return nil, ErrNoRecipe
	}
	return out, nil
}

func isType(v map[string]any, want string) bool {
	for _, t := range texts(v["@type"]) {
		if t == want || strings.HasSuffix(t, "schema.org/"+want) || t == "schema:"+want {
			return true
		}
	}
	return false
}

// get returns a property by its name, bare or with schema.org before it.
func get(v map[string]any, key string) any {
	for _, k := range []string{key, "schema:" + key, "https://schema.org/" + key, "http://schema.org/" + key} {
		if x, ok := v[k]; ok {
			return x
		}
	}
	return nil
}

// texts are the words of a value: text, a number, a list, or an object's name, text or value.
func texts(v any) []string {
	switch v := v.(type) {
	case string:
		if s := strings.TrimSpace(v); s != "" {
			return []string{s}
		}
	case float64:
		return []string{strings.TrimSuffix(fmt.Sprintf("%g", v), ".0")}
	case []any:
		var out []string
		for _, e := range v {
			out = append(out, texts(e)...)
		}
		return out
	case map[string]any:
		for _, k := range []string{"@value", "text", "name", "value"} {
			if s := texts(get(v, k)); len(s) > 0 {
				return s
			}
		}
	}
	return nil
}

func draftOf(v map[string]any) Draft {
	d := Draft{}
	if n := texts(get(v, "name")); len(n) > 0 {
		d.Name = n[0]
	} else {
		d.Doubts = append(d.Doubts, "no name")
	}
	d.Also = texts(get(v, "alternateName"))
	if y := texts(get(v, "recipeYield")); len(y) > 0 {
		d.Makes = y[len(y)-1]
		if strings.Trim(d.Makes, "0123456789") == "" {
			d.Makes += " pieces"
			d.Doubts = append(d.Doubts, "a yield of "+y[len(y)-1]+" without a word")
		}
	}
	for _, s := range texts(get(v, "recipeIngredient")) {
		d.Lines = append(d.Lines, ReadLine(s))
	}
	d.Steps = instructions(get(v, "recipeInstructions"), 0)
	return d
}

// instructions are the steps: text, steps, or sections of them.
func instructions(v any, depth int) []string {
	if depth > 4 {
		return nil
	}
	switch v := v.(type) {
	case string:
		var out []string
		for l := range strings.Lines(v) {
			if s := strings.TrimSpace(l); s != "" {
				out = append(out, s)
			}
		}
		return out
	case []any:
		var out []string
		for _, e := range v {
			out = append(out, instructions(e, depth+1)...)
		}
		return out
	case map[string]any:
		if list := get(v, "itemListElement"); list != nil {
			return instructions(list, depth+1)
		}
		return texts(v)
	}
	return nil
}

type jsonRecipe struct {
	Context     string     `json:"@context"`
	Type        string     `json:"@type"`
	Name        string     `json:"name"`
	Also        []string   `json:"alternateName,omitempty"`
	Category    string     `json:"recipeCategory,omitempty"`
	Yield       string     `json:"recipeYield,omitempty"`
	Ingredients []string   `json:"recipeIngredient"`
	Steps       []jsonStep `json:"recipeInstructions,omitempty"`
}

type jsonStep struct {
	Type string `json:"@type"`
	Text string `json:"text"`
}

// WriteJSONLD writes a recipe of the book as one schema.org/Recipe node.
//
//   - Source: schema.org vocabulary, release 30.0: Recipe, recipeIngredient,
//     recipeInstructions, recipeYield, recipeCategory, alternateName, HowToStep.
func WriteJSONLD(r *recipe.Recipe) ([]byte, error) {
	out := jsonRecipe{Context: "https://schema.org", Type: "Recipe", Name: r.Name, Also: r.Also, Category: r.Section, Ingredients: []string{}}
	if r.Makes != nil {
		out.Yield = r.Makes.Text
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		s := l.Amount.Text + " " + l.Name
		if l.Note != "" {
			s += ", " + l.Note
		}
		out.Ingredients = append(out.Ingredients, s)
	}
	for i := range r.Method {
		st := &r.Method[i]
		text := st.Verb
		for _, s := range []string{st.Words, st.Where} {
			if s != "" {
				text += " " + s
			}
		}
		if st.At != nil {
			text += " at " + st.At.Text
		}
		if st.To != nil {
			text += " to " + st.To.Text
		}
		if st.For != nil {
			text += " for " + st.For.Text
		}
		out.Steps = append(out.Steps, jsonStep{"HowToStep", text})
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(out)
	return b.Bytes(), err
}
