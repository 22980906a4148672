package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tamis/calc/mix"
)

// An entry is one ingredient as the spec files write it, line by line:
//
//   - NAME | CATEGORY | SYNONYM; SYNONYM      English names
//     n fr: MOT; MOT | de: WORT                 kitchen words of other languages
//     c ROW ROW FLAG…                           composition from published rows, the first that has a value
//     x KEY = RULE @ ROW                        one value by a rule (see expr.go)
//     m KEY=VALUE …    p KEY=VALUE …            from memory; common practice
//     z KEY …    ? KEY …                        0 by nature; not known after all
//     milk FAT                                  milk or cream of that fat, from skimmed milk
//     mix 50 NAME + 50 NAME                     a blend of other entries (common practice)
//     d ROW | VALUE cp | VALUE mem              density
//     w WORD=ROW; WORD=VALUE cp                 mass of a piece; `any` for any word
//     o WHOLE=VALUE mem                         share of a whole
//     u ROW | VALUE cp                          usable share
//     abv STRENGTH                              % vol, and the alcohol by the published tables
//     a ALLERGEN; ALLERGEN [@ ROW] | - | ?      contains; - none, ? not known
//     ma ALLERGEN; …                            may contain
//     s DIET … | - | ?                          suits
//     f pours CAUTION; CAUTION | animal=WAY     flags
//
// Flags of c: starchy (what carbohydrate is not fibre or sugars is starch), cocoa
// (all fat is cocoa butter), mixed (not plain dairy: no rule for sugars and fat),
// nosugars (the rows' sugars do not count), nodiff (no other carbohydrate by difference).
type entry struct {
	file           string
	line           int
	name, category string
	also           []string
	words          map[string][]string // language to words
	rows, flags    []string
	rules          []rule
	memory, common []pair
	zero, unknown  []string
	blend, milk    string
	density        string
	pieces, wholes []string
	usable         string
	abv            string
	contains, may  string
	suits          string
	pours          bool
	cautions       []string
	animal         string
}

type rule struct{ key, rule, row string }
type pair struct{ key, value string }

var short = map[string]string{
	"w": "water", "f": "fat", "mf": "milk fat", "cb": "cocoa butter", "p": "protein", "su": "sugars", "suc": "sucrose", "glu": "glucose",
	"fru": "fructose", "lac": "lactose", "mal": "maltose", "st": "starch", "fi": "fibre", "pol": "polyols", "gly": "glycerol",
	"oc": "other carbohydrate", "sa": "salt", "ac": "acid", "as": "ash", "al": "alcohol",
	"kc": "kcal", "kj": "energy", "de": "de", "bx": "brix", "bloom": "bloom",
}

func longKey(s string) (string, error) {
	if l, ok := short[s]; ok {
		return l, nil
	}
	if _, ok := mix.KeyNamed(s); ok || s == "energy" || s == "density" {
		return s, nil
	}
	return "", fmt.Errorf("no key %q", s)
}

var languages = []string{"fr", "es", "it", "de", "pt"}

func readSpecs(dir string) ([]*entry, error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.txt"))
	if err != nil {
		return nil, err
	}
	slices.Sort(files)
	var all []*entry
	for _, f := range files {
		es, err := readSpec(f)
		if err != nil {
			return nil, err
		}
		all = append(all, es...)
	}
	return all, nil
}

func readSpec(path string) ([]*entry, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []*entry
	var e *entry
	sc := bufio.NewScanner(f)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		word, rest, _ := strings.Cut(line, " ")
		rest = strings.TrimSpace(rest)
		if word == "+" {
			e = &entry{file: filepath.Base(path), line: n, words: map[string][]string{}}
			out = append(out, e)
		}
		if e == nil {
			return nil, fmt.Errorf("%s:%d: no entry yet", path, n)
		}
		if err := e.take(word, rest); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", path, n, err)
		}
	}
	return out, sc.Err()
}

func (e *entry) take(word, rest string) error {
	switch word {
	case "+":
		parts := strings.Split(rest, "|")
		if len(parts) < 2 {
			return fmt.Errorf("want NAME | CATEGORY | SYNONYMS")
		}
		e.name, e.category = strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
		if len(parts) > 2 {
			e.also = list(parts[2])
		}
	case "n":
		for p := range strings.SplitSeq(rest, "|") {
			lang, words, ok := strings.Cut(p, ":")
			if lang = strings.TrimSpace(lang); !ok || !slices.Contains(languages, lang) {
				return fmt.Errorf("no language in %q", p)
			}
			e.words[lang] = append(e.words[lang], list(words)...)
		}
	case "c":
		for w := range strings.FieldsSeq(rest) {
			if strings.Contains(w, ":") {
				e.rows = append(e.rows, w)
			} else {
				e.flags = append(e.flags, w)
			}
		}
	case "x":
		key, r, ok := strings.Cut(rest, "=")
		r, row, ok2 := strings.Cut(r, "@")
		k, err := longKey(strings.TrimSpace(key))
		if !ok || !ok2 || err != nil {
			return fmt.Errorf("want KEY = RULE @ ROW: %v", err)
		}
		e.rules = append(e.rules, rule{k, strings.TrimSpace(r), strings.TrimSpace(row)})
	case "m":
		return pairs(rest, &e.memory)
	case "p":
		return pairs(rest, &e.common)
	case "z", "?":
		for w := range strings.FieldsSeq(rest) {
			k, err := longKey(w)
			if err != nil {
				return err
			}
			if word == "z" {
				e.zero = append(e.zero, k)
			} else {
				e.unknown = append(e.unknown, k)
			}
		}
	case "mix":
		e.blend = rest
	case "milk":
		e.milk = rest
	case "d":
		e.density = rest
	case "w":
		e.pieces = list(rest)
	case "o":
		e.wholes = list(rest)
	case "u":
		e.usable = rest
	case "abv":
		e.abv = rest
	case "a":
		e.contains = rest
	case "ma":
		e.may = rest
	case "s":
		e.suits = rest
	case "f":
		for _, w := range list(rest) {
			if w == "pours" {
				e.pours = true
			} else if a, ok := strings.CutPrefix(w, "animal="); ok {
				e.animal = a
			} else {
				e.cautions = append(e.cautions, w)
			}
		}
	default:
		return fmt.Errorf("no directive %q", word)
	}
	return nil
}

func pairs(s string, into *[]pair) error {
	for w := range strings.FieldsSeq(s) {
		k, v, ok := strings.Cut(w, "=")
		k, err := longKey(k)
		if !ok || err != nil {
			return fmt.Errorf("want KEY=VALUE in %q: %v", w, err)
		}
		*into = append(*into, pair{k, v})
	}
	return nil
}

func list(s string) []string {
	var out []string
	for w := range strings.SplitSeq(s, ";") {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}
