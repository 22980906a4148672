package bank

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestNoNamesInQuestion walks the package that understands, and what it embeds: no recipe of any book is a literal there.
func TestNoNamesInQuestion(t *testing.T) {
	names := map[string]string{}
	dirs := map[string]string{}
	for _, name := range append([]string{"demo"}, testBooks...) {
		dirs[name] = bookDir(name)
	}
	outside, err := filepath.Glob(filepath.Join(root, "testdata", "outside", "*", "book"))
	if err != nil || len(outside) < 6 {
		t.Fatalf("%d books from outside, %v", len(outside), err)
	}
	for _, dir := range outside {
		dirs[filepath.Base(filepath.Dir(dir))] = dir
	}
	for _, name := range sortedKeys(dirs) {
		for _, r := range openBook(t, dirs[name]).recipes {
			for _, n := range append([]string{r.name}, r.also...) {
				if k := folded(n); strings.Contains(k, " ") {
					names[k] = name + ": " + n
				}
			}
		}
	}
	if len(names) < 150 {
		t.Fatalf("only %d names of more than one word", len(names))
	}
	literals, files := 0, 0
	check := func(where, text string) {
		padded := " " + folded(strings.Map(wordsOnly, text)) + " "
		for k, n := range names {
			if strings.Contains(padded, " "+k+" ") {
				t.Errorf("%s holds a name of %s", where, n)
			}
		}
	}
	dir := filepath.Join(root, "bot", "question")
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if s, err := strconv.Unquote(lit.Value); err == nil {
					literals++
					check(fset.Position(lit.Pos()).String(), s)
				}
			}
			return true
		})
		for _, g := range file.Comments {
			for _, c := range g.List {
				patterns, ok := strings.CutPrefix(c.Text, "//go:embed ")
				if !ok {
					continue
				}
				for _, p := range strings.Fields(patterns) {
					embedded, err := filepath.Glob(filepath.Join(filepath.Dir(path), p))
					if err != nil || len(embedded) == 0 {
						t.Errorf("%s embeds %q: nothing there", path, p)
					}
					for _, e := range embedded {
						files++
						checkFile(t, e, check)
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if literals < 100 || files == 0 {
		t.Errorf("looked at %d literals and %d embedded files: the walk sees too little", literals, files)
	}
}

func wordsOnly(r rune) rune {
	if strings.ContainsRune(".,;:!?\"()[]{}|/=\t#&*_", r) {
		return ' '
	}
	return r
}

func checkFile(t *testing.T, path string, check func(where, text string)) {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil || info.IsDir() {
		return
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range strings.Split(string(data), "\n") {
		if strings.ContainsRune(strings.TrimSpace(l), ' ') && !strings.HasSuffix(path, "LICENSE") {
			check(path+":"+strconv.Itoa(i+1), l)
		}
	}
}
