package bank

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"gopkg.in/yaml.v3"
)

// renaming gives every word of every name of a book another, made of random syllables: head words that names share stay shared.
type renaming struct {
	words map[string]string // folded single word -> new word
}

var nameWord = regexp.MustCompile(`[\pL]+`)

// kept are the words of names that carry grammar, not meaning.
var kept = []string{"of", "and", "in", "no", "with", "à", "au", "aux", "la", "le", "de", "the", "d", "l"}

func newRenaming(names []string, seed uint64) *renaming {
	rng := rand.New(rand.NewPCG(seed, 5))
	rn := &renaming{words: map[string]string{}}
	taken := map[string]bool{}
	for _, n := range names {
		for _, w := range nameWord.FindAllString(n, -1) {
			k := single(strings.ToLower(plain(w)))
			if slices.Contains(kept, strings.ToLower(w)) || rn.words[k] != "" {
				continue
			}
			made := invent(rng, len(k))
			for taken[made] {
				made = invent(rng, len(k))
			}
			taken[made] = true
			if plain(w) != w { // an accent stays an accent
				made = strings.Replace(made, "a", "à", 1)
				made = strings.Replace(made, "e", "é", 1)
			}
			rn.words[k] = made
		}
	}
	return rn
}

// invent makes a pronounceable word of about that length, never ending in s.
func invent(rng *rand.Rand, size int) string {
	const starts, vowels, ends = "bdfgjklmnprtvz", "aeiou", "lmnrkt"
	var b strings.Builder
	for b.Len() < max(5, min(size, 9)) {
		b.WriteByte(starts[rng.IntN(len(starts))])
		b.WriteByte(vowels[rng.IntN(len(vowels))])
	}
	b.WriteByte(ends[rng.IntN(len(ends))])
	return b.String()
}

// word returns the new word for one word as typed, with its plural and case.
func (rn *renaming) word(w string) (string, bool) {
	low := strings.ToLower(plain(w))
	made, ok := rn.words[single(low)]
	if !ok {
		return w, false
	}
	if plain(w) == w {
		made = plain(made)
	}
	if single(low) != low {
		made += "s"
	}
	return cased(made, w), true
}

func cased(made, like string) string {
	r := []rune(like)
	switch {
	case len(r) > 1 && strings.ToUpper(like) == like:
		return strings.ToUpper(made)
	case unicode.IsUpper(r[0]):
		return string(unicode.ToUpper([]rune(made)[0])) + string([]rune(made)[1:])
	}
	return made
}

// phrase renames every known word of a text and leaves the rest.
func (rn *renaming) phrase(s string) string {
	return nameWord.ReplaceAllStringFunc(s, func(w string) string {
		made, _ := rn.word(w)
		return made
	})
}

// typed renames a name as it was typed: a slip of the thumb becomes the same kind of slip in the new word.
func (rn *renaming) typed(n named) string {
	canon := nameWord.FindAllString(n.Name, -1)
	if got := nameWord.FindAllString(n.Typed, -1); len(got) == 2 && len(canon) == 1 && strings.EqualFold(got[0]+got[1], canon[0]) {
		made, _ := rn.word(canon[0])
		return made[:len(made)/2] + " " + made[len(made)/2:]
	}
	return nameWord.ReplaceAllStringFunc(n.Typed, func(w string) string {
		if made, ok := rn.word(w); ok || slices.Contains(kept, strings.ToLower(w)) {
			return made
		}
		meant := nearest(w, canon)
		made, ok := rn.word(meant)
		if !ok {
			return w
		}
		return cased(slip(strings.ToLower(plain(w)), strings.ToLower(plain(meant)), plain(made)), w)
	})
}

func nearest(w string, among []string) string {
	best, at := "", 99
	for _, c := range among {
		if d := distance(strings.ToLower(plain(w)), strings.ToLower(plain(c))); d < at {
			best, at = c, d
		}
	}
	return best
}

// slip does to made what typing did to meant.
func slip(typed, meant, made string) string {
	made = strings.ToLower(made)
	i := 0
	for i < len(typed) && i < len(meant) && typed[i] == meant[i] {
		i++
	}
	i = max(2, min(i, len(made)-2))
	switch {
	case len(typed) < len(meant):
		return made[:i] + made[i+1:]
	case len(typed) > len(meant):
		return made[:i] + made[i-1:]
	}
	return made[:i-1] + made[i:i+1] + made[i-1:i] + made[i+1:]
}

func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		prev := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := prev
			if a[i] != b[j] {
				cost++
			}
			prev = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// book writes a copy of a book with every name changed, and nothing else.
func (rn *renaming) book(t testing.TB, from, to string) {
	t.Helper()
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	err := filepath.WalkDir(to, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".yaml" || d.Name() == "house.yaml" {
			return err
		}
		n, err := readFile(path)
		if err != nil {
			return err
		}
		if n.Kind == yaml.SequenceNode {
			for _, it := range n.Content {
				rn.item(it)
			}
		} else {
			rn.recipe(n)
		}
		out, err := yaml.Marshal(n)
		if err != nil {
			return err
		}
		return os.WriteFile(path, out, 0o644)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func (rn *renaming) scalars(n *yaml.Node) {
	if n == nil {
		return
	}
	if n.Kind == yaml.ScalarNode {
		n.Value = rn.phrase(n.Value)
		return
	}
	for _, c := range n.Content {
		rn.scalars(c)
	}
}

func (rn *renaming) item(n *yaml.Node) {
	rn.scalars(child(n, "ingredient"))
	rn.scalars(child(n, "also"))
	for _, p := range pairs(child(n, "part of")) {
		rn.scalars(p.key)
	}
}

func (rn *renaming) recipe(n *yaml.Node) {
	for _, key := range []string{"recipe", "also", "based on", "if", "notes"} {
		rn.scalars(child(n, key))
	}
	for _, key := range []string{"ingredients", "plate"} {
		if l := child(n, key); l != nil {
			for _, c := range l.Content {
				rn.lines(c)
			}
		}
	}
	rn.lines(child(n, "change"))
	if l := child(n, "instead"); l != nil {
		for _, c := range l.Content {
			for _, p := range pairs(c) {
				rn.scalars(p.key)
				rn.scalars(p.value)
			}
		}
	}
	if m := child(n, "method"); m != nil {
		for _, s := range m.Content {
			for i, p := range pairs(s) {
				switch {
				case i == 0, p.key.Value == "of":
					rn.scalars(p.value)
				case p.key.Value == "uses":
					for _, u := range pairs(p.value) {
						rn.scalars(u.key)
					}
				}
			}
		}
	}
}

// lines renames NAME: AMOUNT pairs; "bought" and the words of amounts stay, but for what a percentage is of.
func (rn *renaming) lines(n *yaml.Node) {
	for _, p := range pairs(n) {
		switch p.key.Value {
		case "amount":
			rn.share(p.value)
			continue
		case "on":
			rn.scalars(p.value)
			continue
		case "part", "note", "prep", "as", "out":
			continue
		}
		if rest, ok := strings.CutPrefix(p.key.Value, "bought "); ok {
			p.key.Value = "bought " + rn.phrase(rest)
		} else {
			p.key.Value = rn.phrase(p.key.Value)
		}
		if p.value.Kind == yaml.ScalarNode {
			rn.share(p.value)
		} else {
			rn.lines(p.value)
		}
	}
}

func (rn *renaming) share(n *yaml.Node) {
	if before, of, ok := strings.Cut(n.Value, "% of "); ok {
		n.Value = before + "% of " + rn.phrase(of)
	}
}
