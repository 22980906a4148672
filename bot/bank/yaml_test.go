package bank

import (
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// pair is one key of a YAML mapping, in the order of the file.
type pair struct {
	key   *yaml.Node
	value *yaml.Node
}

func pairs(n *yaml.Node) []pair {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	var out []pair
	for i := 0; i+1 < len(n.Content); i += 2 {
		out = append(out, pair{n.Content[i], n.Content[i+1]})
	}
	return out
}

func child(n *yaml.Node, key string) *yaml.Node {
	for _, p := range pairs(n) {
		if p.key.Value == key {
			return p.value
		}
	}
	return nil
}

func text(n *yaml.Node, key string) string {
	if c := child(n, key); c != nil && c.Kind == yaml.ScalarNode {
		return c.Value
	}
	return ""
}

// words returns a scalar or a list of scalars as a list.
func words(n *yaml.Node) []string {
	if n == nil {
		return nil
	}
	if n.Kind == yaml.ScalarNode {
		return []string{n.Value}
	}
	var out []string
	for _, c := range n.Content {
		out = append(out, c.Value)
	}
	return out
}

// document reads one file of a book as a tree.
func document(data []byte) (*yaml.Node, error) {
	var n yaml.Node
	if err := yaml.Unmarshal(data, &n); err != nil {
		return nil, err
	}
	if len(n.Content) != 1 {
		return nil, fmt.Errorf("%d documents", len(n.Content))
	}
	return n.Content[0], nil
}

// folded brings a name to the form names are compared in: no case, accents, hyphens or plural.
func folded(s string) string {
	s = strings.Join(strings.FieldsFunc(strings.ToLower(plain(s)), func(r rune) bool {
		return r == ' ' || r == '-' || r == '\''
	}), " ")
	fields := strings.Fields(s)
	for i, f := range fields {
		fields[i] = single(f)
	}
	return strings.Join(fields, " ")
}

// single takes the English plural off a word.
func single(w string) string {
	switch {
	case w == "leaves":
		return "leaf"
	case w == "loaves":
		return "loaf"
	case strings.HasSuffix(w, "oes"), strings.HasSuffix(w, "shes"), strings.HasSuffix(w, "ches"):
		return strings.TrimSuffix(w, "es")
	case strings.HasSuffix(w, "ies") && len(w) > 4:
		return strings.TrimSuffix(w, "ies") + "y"
	case strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss") && len(w) > 3:
		return strings.TrimSuffix(w, "s")
	}
	return w
}

var accents = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ä", "a", "å", "a", "ç", "c", "è", "e", "é", "e", "ê", "e", "ë", "e",
	"ì", "i", "í", "i", "î", "i", "ï", "i", "ñ", "n", "ò", "o", "ó", "o", "ô", "o", "ö", "o", "ø", "o", "ù", "u", "ú", "u", "û", "u", "ü", "u",
	"æ", "ae", "œ", "oe", "ß", "ss", "À", "A", "É", "E", "È", "E", "Ä", "A", "Ö", "O", "Ü", "U", "Æ", "Ae", "Ø", "O", "Å", "A", "’", "'")

func plain(s string) string { return accents.Replace(s) }
