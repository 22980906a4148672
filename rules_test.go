package tamis_test

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// The rules of the house. What each room may import stands in two tables of
// DEVELOPERS.md, which are read here, so that they can't drift from the code;
// what no table may ever permit stands below.

// source is one Go file as the rules see it.
type source struct {
	path, dir string
	test      bool
	lines     int
	file      *ast.File
	imports   []string
}

// sources parses every Go file of the module but for nested modules and test
// data. It opens the files itself: a child process such as "go list" would hide
// from the test cache what was read.
func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	fset := token.NewFileSet()
	walk(t, func(p string, data []byte) {
		if path.Ext(p) != ".go" || strings.Contains("/"+p, "/testdata/") {
			return
		}
		f, err := parser.ParseFile(fset, p, data, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			t.Errorf("%v", err)
			return
		}
		s := source{path: p, dir: path.Dir(p), test: strings.HasSuffix(p, "_test.go"), lines: bytes.Count(data, []byte("\n")), file: f}
		for _, i := range f.Imports {
			name, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				t.Errorf("%s: import %s: %v", p, i.Path.Value, err)
				continue
			}
			s.imports = append(s.imports, name)
		}
		out = append(out, s)
	})
	if len(out) < 50 {
		t.Fatalf("only %d Go files found: the walk is wrong", len(out))
	}
	return out
}

// walk gives every file of the project with its slash path.
func walk(t *testing.T, visit func(p string, data []byte)) {
	t.Helper()
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if p != "." && p != ".ci" && (strings.HasPrefix(d.Name(), ".") || d.Name() == "dist" || d.Name() == "node_modules") {
				return filepath.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || p == ".git" { // a file where the checkout is a second one
			return nil
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		visit(filepath.ToSlash(p), data)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

const module = "tamis"

// ours is the folder of an import of this module.
func ours(imp string) (string, bool) {
	if imp == module {
		return ".", true
	}
	return strings.CutPrefix(imp, module+"/")
}

// foreign reports whether an import is neither ours nor the standard library's.
func foreign(imp string) bool {
	first, _, _ := strings.Cut(imp, "/")
	return strings.Contains(first, ".")
}

// under reports whether dir is room or lies in it.
func under(dir, room string) bool { return dir == room || strings.HasPrefix(dir, room+"/") }

func underAny(dir string, rooms []string) bool {
	return slices.ContainsFunc(rooms, func(r string) bool { return under(dir, r) })
}

// table reads the rows of the table that follows a heading of DEVELOPERS.md.
func table(t *testing.T, heading string, columns int) [][]string {
	t.Helper()
	data, err := os.ReadFile("DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(data), "\n## "+heading+"\n")
	if !found {
		t.Fatalf("DEVELOPERS.md has no heading %q", heading)
	}
	var rows [][]string
	for line := range strings.Lines(rest) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "## ") {
			break
		}
		if !strings.HasPrefix(line, "|") {
			continue
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if len(cells) != columns {
			t.Fatalf("DEVELOPERS.md, %s: %d cells instead of %d: %s", heading, len(cells), columns, line)
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		rows = append(rows, cells)
	}
	if len(rows) < 3 {
		t.Fatalf("DEVELOPERS.md, %s: no table", heading)
	}
	return rows[2:]
}

var quoted = regexp.MustCompile("`([^`]+)`")

// names are the words in backticks of a cell.
func names(cell string) []string {
	var out []string
	for _, m := range quoted.FindAllStringSubmatch(cell, -1) {
		out = append(out, m[1])
	}
	return out
}

// room is a row of the table of rooms.
type room struct {
	folder string
	may    []string // folders of ours; "x/..." is x and all in it
}

func (r room) admits(dir string) bool {
	return slices.ContainsFunc(r.may, func(m string) bool {
		if tree, ok := strings.CutSuffix(m, "/..."); ok {
			return under(dir, tree)
		}
		return dir == m
	})
}

func rooms(t *testing.T) map[string]room {
	t.Helper()
	out := map[string]room{}
	for _, row := range table(t, "Rooms", 3) {
		for _, folder := range names(row[0]) {
			if _, twice := out[folder]; twice {
				t.Errorf("DEVELOPERS.md has two rows for %s", folder)
			}
			out[folder] = room{folder, names(row[2])}
		}
	}
	return out
}

// library is a row of the table of libraries.
type library struct {
	path, version string
	rooms         []string
	tests         bool
}

func libraries(t *testing.T) []library {
	t.Helper()
	var out []library
	for _, row := range table(t, "Libraries", 4) {
		l := library{version: row[1], rooms: names(row[2]), tests: strings.Contains(row[2], "tests")}
		for _, p := range names(row[0]) {
			l.path = p
			out = append(out, l)
		}
	}
	return out
}

// owner is the room that a package belongs to: itself, or the one it is internal to.
func owner(dir string) string {
	room, _, _ := strings.Cut(dir, "/internal/")
	return room
}

// rowOf is the package's own row, else that of its owner.
func rowOf(all map[string]room, dir string) (room, bool) {
	if r, ok := all[dir]; ok {
		return r, true
	}
	r, ok := all[owner(dir)]
	return r, ok
}

// TestRooms holds every import against the two tables.
func TestRooms(t *testing.T) {
	all, libs := rooms(t), libraries(t)
	packages := map[string]bool{}
	used := map[string]bool{}
	for _, s := range sources(t) {
		if !s.test {
			packages[s.dir] = true
		}
		here, known := rowOf(all, s.dir)
		for _, imp := range s.imports {
			if dir, ok := ours(imp); ok {
				switch {
				case owner(dir) == owner(s.dir): // a room and what is internal to it
				case !known || here.admits(dir):
				case s.test && testMayImport(s.dir, dir):
				default:
					t.Errorf("%s imports %s, which the table of rooms does not give to %s", s.path, dir, s.dir)
				}
				continue
			}
			if !foreign(imp) {
				continue
			}
			i := slices.IndexFunc(libs, func(l library) bool { return under(imp, l.path) })
			switch {
			case i < 0:
				t.Errorf("%s imports %s, which is not in the table of libraries", s.path, imp)
			case s.test && libs[i].tests || underAny(s.dir, libs[i].rooms):
				used[libs[i].path] = true
			default:
				t.Errorf("%s imports %s, which the table of libraries keeps to %v", s.path, imp, libs[i].rooms)
			}
		}
	}
	for dir := range packages {
		if _, ok := rowOf(all, dir); !ok && dir != "." {
			t.Errorf("package %s has no row in the table of rooms of DEVELOPERS.md", dir)
		}
	}
	for folder := range all {
		if !packages[folder] {
			t.Errorf("the table of rooms has %s, where no package is", folder)
		}
	}
	for _, l := range libs {
		if !used[l.path] && len(l.rooms) > 0 {
			t.Errorf("the table of libraries has %s, which nothing imports", l.path)
		}
	}
}

// testMayImport is what a room's tests may import beyond its row: the store's
// suite and whatever stands below the room, never above.
func testMayImport(from, dir string) bool {
	switch {
	case under(from, "calc"):
		return under(dir, "calc")
	case under(from, "kb"):
		return under(dir, "calc") || under(dir, "kb")
	case under(from, "bot"):
		return under(dir, "calc") || under(dir, "kb") || under(dir, "bot")
	}
	return false
}

// TestLibraryVersions holds the table of libraries against go.mod.
func TestLibraryVersions(t *testing.T) {
	data, err := os.ReadFile("go.mod")
	if err != nil {
		t.Fatal(err)
	}
	versions := map[string]string{}
	for line := range strings.Lines(string(data)) {
		fields := strings.Fields(strings.TrimPrefix(strings.TrimSpace(line), "require "))
		if len(fields) >= 2 && strings.Contains(fields[0], ".") && strings.HasPrefix(fields[1], "v") {
			versions[fields[0]] = fields[1]
		}
	}
	for _, l := range libraries(t) {
		mod := l.path
		for mod != "." && versions[mod] == "" {
			mod = path.Dir(mod)
		}
		if versions[mod] != l.version {
			t.Errorf("DEVELOPERS.md says %s %s, go.mod says %q", l.path, l.version, versions[mod])
		}
	}
}

// laws hold whatever the tables say.
var laws = []struct {
	what     string
	imports  []string // these and what lies in them
	only     []string // may be imported from these folders only…
	never    []string // …or never from these
	andTests bool
}{
	{what: "calculations know no conversation and no book", imports: []string{module + "/bot", module + "/kb", module + "/cmd"}, never: []string{"calc"}, andTests: true},
	{what: "the book knows no conversation", imports: []string{module + "/bot", module + "/cmd"}, never: []string{"kb"}, andTests: true},
	{what: "adapters are wired by the command only", imports: []string{module + "/bot/terminal", module + "/bot/discord"}, only: []string{"cmd", "bot/terminal", "bot/discord"}},
	{what: "the checks ask from outside", imports: []string{module}, never: []string{"bot/bank"}, andTests: true},
	{what: "bleve stays in its room", imports: []string{"github.com/blevesearch"}, only: []string{"kb/index"}, andTests: true},
	{what: "YAML is read in one place", imports: []string{"gopkg.in/yaml.v3"}, only: []string{"kb/yamldoc"}},
	{what: "one room knows the messaging platform", imports: []string{"github.com/bwmarrin/discordgo"}, only: []string{"bot/discord"}, andTests: true},
	{what: "one room knows the model", imports: []string{"github.com/sashabaranov/go-openai"}, only: []string{"bot/phrase"}, andTests: true},
	{what: "numerics stay in the calculations", imports: []string{"gonum.org/v1/gonum"}, only: []string{"calc"}, andTests: true},
	{what: "no disk, network, process or log where answers are worked out",
		imports: []string{"os", "net", "syscall", "log", "database", "plugin", "unsafe", "io/ioutil", "path/filepath", "runtime/debug", "math/rand", "crypto/rand"},
		never:   []string{"calc", "kb/name", "kb/yamldoc", "kb/recipe", "kb/intake", "bot/question", "bot/answer", "bot/reply"}},
	{what: "no clock in a calculation", imports: []string{"time"}, never: []string{
		"calc/quantity", "calc/reftable", "calc/mix", "calc/scale", "calc/reduce", "calc/sugar", "calc/gel", "calc/chocolate", "calc/siphon", "calc/cure", "calc/cost", "calc/allergen", "calc/swap"}},
}

// TestLaws checks what no table may permit.
func TestLaws(t *testing.T) {
	for _, s := range sources(t) {
		for _, l := range laws {
			if s.test && !l.andTests {
				continue
			}
			for _, imp := range s.imports {
				if !slices.ContainsFunc(l.imports, func(p string) bool { return under(imp, p) }) {
					continue
				}
				if underAny(s.dir, l.never) || l.only != nil && !underAny(s.dir, l.only) {
					t.Errorf("%s imports %s: %s", s.path, imp, l.what)
				}
			}
		}
	}
}

// clock are the names of package time that read the clock or wait on it.
var clock = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Local"}

// TestClock keeps the clock to adapters, the command and timers: everything
// else is told the moment.
func TestClock(t *testing.T) {
	free := []string{"cmd", "bot/terminal", "bot/discord", "bot/timer", "bot/socket"}
	for _, s := range sources(t) {
		if s.test || strings.HasSuffix(s.dir, "test") || underAny(s.dir, free) {
			continue // a suite such as storetest is a test, whatever its file is called
		}
		name := localName(s.file, "time")
		if name == "" {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if id, ok := sel.X.(*ast.Ident); ok && id.Name == name && slices.Contains(clock, sel.Sel.Name) {
					t.Errorf("%s uses time.%s: the moment comes in with the message", s.path, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

// localName is what a file calls an import; "" where it does not import it.
func localName(f *ast.File, imp string) string {
	for _, i := range f.Imports {
		if i.Path.Value != strconv.Quote(imp) {
			continue
		}
		if i.Name != nil {
			return i.Name.Name
		}
		return path.Base(imp)
	}
	return ""
}

// inits are the init functions that may stand, each with its reason.
var inits = map[string]string{
	"bot/answer/book.go": "the table of handlers holds functions that look into the table",
}

// TestShape checks names, doc comments, length of files and what starts by itself.
func TestShape(t *testing.T) {
	badNames := []string{"util", "utils", "common", "helper", "helpers", "model", "models", "misc", "base", "lib", "shared", "types"}
	docs := map[string]string{}
	seen := map[string]bool{}
	for _, s := range sources(t) {
		name := strings.TrimSuffix(s.file.Name.Name, "_test")
		if slices.Contains(badNames, name) || slices.Contains(badNames, path.Base(s.dir)) {
			t.Errorf("%s: package %s says nothing of what it holds", s.path, name)
		}
		if s.lines > 700 {
			t.Errorf("%s has %d lines; a file is read in one sitting, 700 at most", s.path, s.lines)
		}
		for _, i := range s.file.Imports {
			if i.Name != nil && i.Name.Name == "." {
				t.Errorf("%s: dot import of %s", s.path, i.Path.Value)
			}
		}
		if s.test {
			continue
		}
		if _, ok := docs[s.dir]; !ok {
			docs[s.dir] = ""
		}
		if s.file.Doc != nil {
			if docs[s.dir] != "" {
				t.Errorf("%s: a second doc comment of its package", s.path)
			}
			docs[s.dir] = s.file.Doc.Text()
			want := "Package " + name + " "
			if name == "main" {
				want = "Command "
			}
			if !strings.HasPrefix(docs[s.dir], want) {
				t.Errorf("%s: the doc comment does not begin with %q", s.path, want)
			}
		}
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.Name == "init" {
				seen[s.path] = true
				if inits[s.path] == "" {
					t.Errorf("%s has an init function: nothing starts by itself", s.path)
				}
			}
		}
	}
	for dir, doc := range docs {
		if doc == "" {
			t.Errorf("package %s has no doc comment", dir)
		}
	}
	for p := range inits {
		if !seen[p] {
			t.Errorf("%s has no init function any more: drop it from the list", p)
		}
	}
}

// TestNoPlaces keeps the project free of the places it was made at: folders of
// one machine, registries, home folders.
func TestNoPlaces(t *testing.T) {
	// put together here, so that this file does not name them
	folders := regexp.MustCompile(`(^|[^\w./~$}-])/(` + strings.Join([]string{"work", "root", "home", "tmp", "mnt", "Users"}, "|") + `)/`)
	hosts := regexp.MustCompile(`(proxy|sum)\.` + `golang\.org|GOPROXY` + `=|registry\.` + `npmjs|pypi\.` + `org`)
	checked := 0
	walk(t, func(p string, data []byte) {
		if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
			return
		}
		checked++
		for n, line := range bytes.Split(data, []byte("\n")) {
			if !bytes.ContainsAny(line, "/.=") { // most lines of the word lists
				continue
			}
			for _, re := range []*regexp.Regexp{folders, hosts} {
				if m := re.Find(line); m != nil {
					t.Errorf("%s:%d names %q", p, n+1, bytes.TrimSpace(m))
				}
			}
		}
	})
	if checked < 100 {
		t.Fatalf("only %d files checked", checked)
	}
}

// TestRulesBite shows that the readers above see what they look for.
func TestRulesBite(t *testing.T) {
	for imp, want := range map[string]string{"tamis": ".", "tamis/kb/store": "kb/store"} {
		if dir, ok := ours(imp); !ok || dir != want {
			t.Errorf("ours(%q) = %q, %v", imp, dir, ok)
		}
	}
	if _, ok := ours("tamisery/kb"); ok {
		t.Error("tamisery is not ours")
	}
	if owner("kb/store/internal/storetest") != "kb/store" || owner("kb/store") != "kb/store" {
		t.Error("owner mistakes who a package is internal to")
	}
	if foreign("encoding/json") || !foreign("gopkg.in/yaml.v3") {
		t.Error("foreign mistakes the standard library")
	}
	r := room{"x", []string{"calc/...", "kb"}}
	for dir, want := range map[string]bool{"calc": true, "calc/mix": true, "calculus": false, "kb": true, "kb/store": false, "bot": false} {
		if r.admits(dir) != want {
			t.Errorf("admits(%q) = %v", dir, !want)
		}
	}
	f, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\nimport uhr \"time\"\nvar _ = uhr.Now\n", 0)
	if err != nil || localName(f, "time") != "uhr" {
		t.Errorf("a renamed import is missed: %q, %v", localName(f, "time"), err)
	}
	if got := fmt.Sprint(names("`calc/...`, `kb` and tests")); got != "[calc/... kb]" {
		t.Errorf("names reads %s", got)
	}
}
