package calc_test

import (
	"flag"
	"fmt"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write docs/calculations.md anew")

// The packages whose every function is documented in docs/calculations.md.
var documented = []string{"reduce", "sugar", "gel", "chocolate", "siphon", "cure"}

// What a doc comment must say of a function, in this order; Units may stand between.
var required = []string{"Formula", "Range", "Uncertainty", "Errors", "Source"}

// function is one function as its doc comment describes it.
type function struct {
	name    string // "Boil", "Reduction.To"
	says    string // first sentence
	items   map[string]string
	inOrder []string
}

// functions reads a package's exported functions and methods, but for those every Go type may have.
func functions(t *testing.T, dir string) (about string, out []function) {
	t.Helper()
	fset := token.NewFileSet()
	paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var files []*ast.File
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, p, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	pkg, err := doc.NewFromFiles(fset, files, "tamis/calc/"+dir)
	if err != nil {
		t.Fatal(err)
	}
	add := func(prefix string, funcs []*doc.Func) {
		for _, f := range funcs {
			if !slices.Contains([]string{"String", "Error", "Unwrap"}, f.Name) {
				out = append(out, describe(pkg, prefix+f.Name, f.Doc))
			}
		}
	}
	add("", pkg.Funcs)
	for _, ty := range pkg.Types {
		add("", ty.Funcs)
		add(ty.Name+".", ty.Methods)
	}
	slices.SortFunc(out, func(a, b function) int { return strings.Compare(a.name, b.name) })
	return pkg.Synopsis(pkg.Doc), out
}

func describe(pkg *doc.Package, name, text string) function {
	f := function{name: name, says: pkg.Synopsis(text), items: map[string]string{}}
	key := ""
	for line := range strings.Lines(text) {
		trimmed := strings.TrimSpace(line)
		if item, ok := strings.CutPrefix(trimmed, "- "); ok {
			k, v, _ := strings.Cut(item, ": ")
			key = k
			f.items[key] = v
			f.inOrder = append(f.inOrder, key)
		} else if key != "" && trimmed != "" {
			f.items[key] += " " + trimmed
		}
	}
	return f
}

// Every function says its formula, range, uncertainty, errors and source.
func TestFunctionsAreDocumented(t *testing.T) {
	for _, dir := range documented {
		_, all := functions(t, dir)
		if len(all) == 0 {
			t.Errorf("%s: no functions found", dir)
		}
		for _, f := range all {
			last := -1
			for _, key := range required {
				at := slices.Index(f.inOrder, key)
				if at < 0 || strings.TrimSpace(f.items[key]) == "" {
					t.Errorf("%s.%s: the doc comment does not say its %s", dir, f.name, key)
				} else if at < last {
					t.Errorf("%s.%s: %s is out of order", dir, f.name, key)
				}
				last = max(last, at)
			}
			if f.says == "" {
				t.Errorf("%s.%s: no sentence says what it does", dir, f.name)
			}
		}
	}
}

// docs/calculations.md is what the comments and the comparisons say now.
func TestCalculationsDocument(t *testing.T) {
	const path = "../docs/calculations.md"
	want := document(t)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != want {
		t.Errorf("%s is not what the comments and tests say; run go test ./calc/ -update\n%s", path, firstDifference(string(have), want))
	}
}

func firstDifference(have, want string) string {
	h, w := strings.Split(have, "\n"), strings.Split(want, "\n")
	for i := range min(len(h), len(w)) {
		if h[i] != w[i] {
			return fmt.Sprintf("line %d:\n have %s\n want %s", i+1, h[i], w[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(h), len(w))
}

func document(t *testing.T) string {
	var b strings.Builder
	b.WriteString("# Calculations: pan, gel, sugar, chocolate, cure\n\n" +
		"Made from the doc comments and the tests by `go test ./calc/ -update`; a test fails if it is stale. Sources by number: [calc/SOURCES.md](../calc/SOURCES.md).\n" +
		"Masses are exact; what comes out of physics or a table says its uncertainty.\n")
	for _, dir := range documented {
		about, all := functions(t, dir)
		fmt.Fprintf(&b, "\n## calc/%s\n\n%s\n", dir, escape(about))
		for _, f := range all {
			fmt.Fprintf(&b, "\n### %s.%s\n\n%s\n\n", dir, f.name, escape(f.says))
			for _, k := range f.inOrder {
				fmt.Fprintf(&b, "- %s: %s\n", k, escape(f.items[k]))
			}
		}
	}
	b.WriteString("\n## Published against computed\n\n" +
		"Every row of each table is compared; the worst difference is told, and some rows are shown. What is allowed is the tolerance of the test.\n\n" +
		"| what | source | rows | worst difference | at | allowed |\n|---|---|---|---|---|---|\n")
	all := comparisons(t)
	for _, c := range all {
		w := c.worst()
		fmt.Fprintf(&b, "| %s | %s | %d | %s %s | %s | %s |\n", c.what, c.source, len(c.points), rough(w.difference()), c.unit, w.at, number(c.allowed))
	}
	for _, c := range all {
		fmt.Fprintf(&b, "\n### %s\n\n", c.what)
		if c.note != "" {
			fmt.Fprintf(&b, "%s\n\n", c.note)
		}
		fmt.Fprintf(&b, "| at | published, %s | computed, %s |\n|---|---|---|\n", c.unit, c.unit)
		for _, p := range c.shown() {
			fmt.Fprintf(&b, "| %s | %s | %s |\n", p.at, number(p.published), number(p.computed))
		}
	}
	return b.String()
}

// escape keeps Markdown from reading a bar or a doc link as its own.
func escape(s string) string {
	return strings.NewReplacer("|", "\\|", "[", "", "]", "", "\n", " ", "<", "&lt;").Replace(s)
}
