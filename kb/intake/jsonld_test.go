package intake

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/piprate/json-gold/ld"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// vocabulary is the part of schema.org's context that a recipe needs, so that
// the test loads nothing.
type vocabulary struct{}

func (vocabulary) LoadDocument(u string) (*ld.RemoteDocument, error) {
	if strings.TrimSuffix(u, "/") != "https://schema.org" {
		return nil, errors.New("the test loads nothing from " + u)
	}
	return &ld.RemoteDocument{DocumentURL: u, Document: map[string]any{"@context": map[string]any{"@vocab": "https://schema.org/"}}}, nil
}

// TestOutputIsJSONLD expands what is written with a JSON-LD library: one node of
// type Recipe, every property one of the vocabulary's for it.
func TestOutputIsJSONLD(t *testing.T) {
	in := "recipe: pear glaze\nalso: [glaze]\nsection: pastry\nmakes: 400 g\ningredients:\n  - pear juice: 300 g\n  - honey: 40 g\nmethod:\n  - boil: all of it\n    to: 104 °C\n"
	r, _ := recipe.Parse("x.yaml", []byte(in), quantity.Metric)
	data, err := WriteJSONLD(r)
	if err != nil {
		t.Fatal(err)
	}
	var doc any
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	o := ld.NewJsonLdOptions("")
	o.DocumentLoader = vocabulary{}
	nodes, err := ld.NewJsonLdProcessor().Expand(doc, o)
	if err != nil || len(nodes) != 1 {
		t.Fatal(nodes, err)
	}
	node, _ := nodes[0].(map[string]any)
	// domains of Recipe and what it derives from: schema.org release 30.0
	known := []string{"@type", "name", "alternateName", "recipeCategory", "recipeYield", "recipeIngredient", "recipeInstructions"}
	for k := range node {
		if !slices.Contains(known, strings.TrimPrefix(k, "https://schema.org/")) {
			t.Errorf("property %s", k)
		}
	}
	if len(node) != len(known) {
		t.Errorf("%d properties: %v", len(node), node)
	}
	if ts, _ := node["@type"].([]any); len(ts) != 1 || ts[0] != "https://schema.org/Recipe" {
		t.Errorf("type %v", node["@type"])
	}
	if list, _ := node["https://schema.org/recipeIngredient"].([]any); len(list) != 2 {
		t.Errorf("ingredients %v", list)
	}
	steps, _ := node["https://schema.org/recipeInstructions"].([]any)
	if step, _ := steps[0].(map[string]any); len(steps) != 1 || step["@type"].([]any)[0] != "https://schema.org/HowToStep" {
		t.Errorf("steps %v", steps)
	}
	ds, err := ReadJSONLD(data)
	if err != nil || len(ds) != 1 || ds[0].Name != r.Name {
		t.Errorf("%+v, %v", ds, err)
	}
}
