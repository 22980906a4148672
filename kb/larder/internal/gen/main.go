// Command gen writes the data files of the built-in larder: the entries under
// spec and the published tables under testdata flow in, items.tsv, values.tsv,
// names.tsv, index.tsv and spellings.tsv flow out. Run it from kb/larder: go generate.
package main

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tamis/kb/larder/internal/refrow"
	"tamis/kb/name"
)

func main() {
	spec := flag.String("spec", "internal/gen/spec", "folder of the entries")
	tables := flag.String("tables", "testdata", "folder of the published tables")
	out := flag.String("out", "data", "folder to write into")
	flag.Parse()
	if err := run(*spec, *tables, *out); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(spec, tables, out string) error {
	t, err := refrow.Open(tables)
	if err != nil {
		return err
	}
	entries, err := readSpecs(spec)
	if err != nil {
		return err
	}
	bd := &builder{tables: t, items: map[string]*built{}}
	var all []*built
	var errs []error
	for _, e := range entries {
		b, err := bd.build(e)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		all = append(all, b)
	}
	errs = append(errs, clashes(entries)...)
	if err := errors.Join(errs...); err != nil {
		return err
	}
	slices.SortFunc(all, func(a, b *built) int { return strings.Compare(a.name, b.name) })
	for file, text := range map[string]string{"items.tsv": items(all, t, &errs), "values.tsv": values(all), "names.tsv": names(all), "index.tsv": index(all), "spellings.tsv": spellings(all)} {
		if err := os.WriteFile(filepath.Join(out, file), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return errors.Join(errs...)
}

// clashes finds names that belong to two entries, once folded.
func clashes(entries []*entry) []error {
	var errs []error
	owner := map[string]*entry{}
	for _, e := range entries {
		for _, s := range e.all() {
			f := name.Fold(s)
			if o := owner[f]; o != nil && o != e {
				errs = append(errs, fmt.Errorf("%s:%d: %q (%s) is a name of %s too", e.file, e.line, s, e.name, o.name))
			}
			owner[f] = e
		}
	}
	return errs
}

func (e *entry) all() []string {
	out := append([]string{e.name}, e.also...)
	for _, l := range languages {
		out = append(out, e.words[l]...)
	}
	return out
}

const header = "# Written by go generate from internal/gen/spec and the published tables in testdata; do not edit.\n"

func items(all []*built, t interface{ Has(string) bool }, errs *[]error) string {
	var b strings.Builder
	b.WriteString(header + "# name\tcategory\tEnglish synonyms\tpours\tcontains\tmay contain\tsource of contains\tsuits\tcautions\tanimal\n")
	for _, e := range all {
		contains, row := e.contains, ""
		if contains == "" {
			contains = defaultContains(e.category)
		}
		if contains == "" {
			*errs = append(*errs, fmt.Errorf("%s:%d: %s: what does it contain?", e.file, e.line, e.name))
		}
		if c, r, ok := strings.Cut(contains, "@"); ok {
			contains, row = strings.TrimSpace(c), strings.TrimSpace(r)
			if !t.Has(row) {
				*errs = append(*errs, fmt.Errorf("%s:%d: no row %s", e.file, e.line, row))
			}
		}
		suits := e.suits
		if suits == "" {
			suits = defaultSuits(e.category)
		}
		pours := ""
		if e.pours {
			pours = "yes"
		}
		fmt.Fprintf(&b, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", e.name, e.category, strings.Join(e.also, ";"), pours,
			strings.Join(list(contains), ";"), strings.Join(list(e.may), ";"), row, strings.Join(strings.Fields(suits), ";"), strings.Join(e.cautions, ";"), e.animal)
	}
	return b.String()
}

// values writes one line a value; keys with one value from one place share a line.
func values(all []*built) string {
	var b strings.Builder
	b.WriteString(header + "# item\tkeys\tvalue\tmark (row, practice, memory, nature, blend)\tsource\trule\n")
	for _, e := range all {
		var lines []value
		at := map[value]int{}
		for _, v := range e.values {
			same := value{key: v.n.String(), mark: v.mark, source: v.source, rule: v.rule}
			if i, ok := at[same]; ok {
				lines[i].key += ";" + v.key
				continue
			}
			at[same] = len(lines)
			lines = append(lines, v)
		}
		for _, v := range lines {
			fmt.Fprintf(&b, "%s\t%s\t%s\t%s\t%s\t%s\n", e.name, v.key, v.n, v.mark, v.source, v.rule)
		}
	}
	return b.String()
}

func names(all []*built) string {
	var b strings.Builder
	b.WriteString(header + "# item\tlanguage\tnames\n")
	for _, e := range all {
		for _, l := range languages {
			if len(e.words[l]) > 0 {
				fmt.Fprintf(&b, "%s\t%s\t%s\n", e.name, l, strings.Join(e.words[l], ";"))
			}
		}
	}
	return b.String()
}

// index writes every name folded, so that the larder opens without folding them.
func index(all []*built) string {
	var b strings.Builder
	b.WriteString(header + "# item\tits names and synonyms folded, the name first\n")
	for _, e := range all {
		var folded []string
		for _, s := range e.all() {
			if f := name.Fold(s); !slices.Contains(folded, f) {
				folded = append(folded, f)
			}
		}
		fmt.Fprintf(&b, "%s\t%s\n", e.name, strings.Join(folded, ";"))
	}
	return b.String()
}

// spellings writes every name as a message may hold it, in order, so that nobody
// folds and sorts them when a book is opened.
func spellings(all []*built) string {
	type spelling struct {
		plain, text, fold string
		alias             bool
		item              int
	}
	var out []spelling
	for i, e := range all {
		for k, s := range e.all() {
			out = append(out, spelling{name.Plain(s), s, name.Fold(s), k > 0, i})
		}
	}
	slices.SortStableFunc(out, func(a, b spelling) int {
		return cmp.Or(strings.Compare(a.plain, b.plain), strings.Compare(a.text, b.text))
	})
	var b strings.Builder
	b.WriteString(header + "# without case and accents\tas written; nothing: the same\tfolded; nothing: the first\tplace of the item\ta synonym\n")
	for _, s := range out {
		text, fold, alias := s.text, s.fold, ""
		if text == s.plain {
			text = ""
		}
		if fold == s.plain {
			fold = ""
		}
		if s.alias {
			alias = "s"
		}
		fmt.Fprintf(&b, "%s\t%s\t%s\t%d\t%s\n", s.plain, text, fold, s.item, alias)
	}
	return b.String()
}
