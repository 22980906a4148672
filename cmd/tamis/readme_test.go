package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// documents are the texts whose examples are run: a console block is commands
// with what they answer; a yaml block that begins with "# book/…" or "# revised/…" is that file.
var documents = []string{"README.md", "docs/book.md", "docs/asking.md", "docs/swaps.md", "docs/timers.md", "docs/history.md", "docs/cooling.md"}

// moment is the clock of the examples.
const moment = "2026-03-14T15:40:00+01:00"

// TestDocuments runs every example of the documents and compares the replies:
// what they show is what the program says.
func TestDocuments(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, doc := range documents {
		t.Run(doc, func(t *testing.T) {
			path := filepath.Join(root, filepath.FromSlash(doc))
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			blocks := fenced(string(text))
			data := t.TempDir() // what one example tells, the next one knows
			t.Chdir(t.TempDir())
			var examples int
			for i, b := range blocks {
				switch b.language {
				case "yaml":
					if err := b.file(); err != nil {
						t.Fatal(err)
					}
				case "console":
					got, n := b.run(t, data)
					examples += n
					if diff := cmp.Diff(b.text, got); diff != "" && !*update {
						t.Errorf("what it shows (-) is not what the program says (+):\n%s", diff)
					}
					blocks[i].text = got
				}
			}
			if examples == 0 {
				t.Errorf("%s has no example", doc)
			}
			if *update {
				if err := os.WriteFile(path, []byte(joined(blocks)), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

// block is a run of plain text or, with a language, what stands in a fence.
type block struct{ language, text string }

// fenced cuts a document into plain text and fenced blocks.
func fenced(doc string) []block {
	var out []block
	cur := block{}
	for line := range strings.Lines(doc) {
		fence, is := strings.CutPrefix(strings.TrimSuffix(line, "\n"), "```")
		switch {
		case is && cur.language == "":
			out = append(out, cur)
			cur = block{language: "plain"}
			if fence != "" {
				cur.language = fence
			}
		case is:
			out = append(out, cur)
			cur = block{}
		default:
			cur.text += line
		}
	}
	return append(out, cur)
}

func joined(blocks []block) string {
	var s strings.Builder
	for _, b := range blocks {
		if b.language == "" {
			s.WriteString(b.text)
			continue
		}
		fmt.Fprintf(&s, "```%s\n%s```\n", strings.TrimPrefix(b.language, "plain"), b.text)
	}
	return s.String()
}

// file writes a yaml block into the file that its first line names.
func (b block) file() error {
	first, _, _ := strings.Cut(b.text, "\n")
	name, ok := strings.CutPrefix(first, "# ")
	if !ok || !strings.HasPrefix(name, "book/") && !strings.HasPrefix(name, "revised/") || !fs.ValidPath(name) {
		return nil // an excerpt
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, []byte(b.text), 0o644)
}

// run runs the commands of a console block and returns the block as it should be.
func (b block) run(t *testing.T, data string) (string, int) {
	t.Helper()
	var out strings.Builder
	n := 0
	for line := range strings.Lines(b.text) {
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		if n > 0 {
			out.WriteByte('\n')
		}
		n++
		out.WriteString(line)
		args := words(strings.TrimSpace(command))
		switch {
		case len(args) > 0 && args[0] == "tamis":
			args = args[1:]
		case len(args) > 2 && strings.Join(args[:3], " ") == "go run ./cmd/tamis":
			args = args[3:]
		default:
			t.Fatalf("%q is no example of this program: use a block of another language", command)
		}
		var said, wrong bytes.Buffer
		getenv := func(key string) string { return map[string]string{"TAMIS_NOW": moment, "TAMIS_DATA": data}[key] }
		code := run(t.Context(), args, strings.NewReader(""), &said, &wrong, getenv)
		if code == exitFailed || code == exitWrongUse {
			t.Errorf("%q exits %d: %s", command, code, wrong.String())
		}
		out.Write(said.Bytes())
	}
	return out.String(), n
}

// words cuts a command line as a shell would, as far as the examples need it.
func words(s string) []string {
	var out []string
	var cur strings.Builder
	var quote rune
	inside := false
	for _, r := range s {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote, inside = r, true
		case r == quote:
			quote = 0
		case quote == 0 && r == ' ':
			if inside {
				out = append(out, cur.String())
				cur.Reset()
				inside = false
			}
		default:
			cur.WriteRune(r)
			inside = true
		}
	}
	if inside {
		out = append(out, cur.String())
	}
	return out
}

// TestTestCommand holds what README.md names as the test command against what CI calls.
func TestTestCommand(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	ci, err := os.ReadFile("../../.ci/run")
	if err != nil {
		t.Fatal(err)
	}
	const command = ".ci/check"
	var named bool
	for _, b := range fenced(string(readme)) {
		named = named || b.language == "sh" && strings.TrimSpace(b.text) == command
	}
	if !named {
		t.Errorf("README.md does not name %s in a block of its own", command)
	}
	if !strings.Contains(string(ci), "\nexec "+command+"\n") {
		t.Errorf(".ci/run does not call %s", command)
	}
	info, err := os.Stat("../../" + command)
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode()&0o111 == 0 {
		t.Errorf("%s is no program", command)
	}
}

func TestWords(t *testing.T) {
	for in, want := range map[string][]string{
		`tamis ask "how much yolk"`: {"tamis", "ask", "how much yolk"},
		`tamis  ask 'say "3x"' x`:   {"tamis", "ask", `say "3x"`, "x"},
		`tamis ask ""`:              {"tamis", "ask", ""},
	} {
		if diff := cmp.Diff(want, words(in)); diff != "" {
			t.Errorf("%s: %s", in, diff)
		}
	}
}
