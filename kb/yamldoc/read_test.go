package yamldoc

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// tell writes faults as tests expect them: line:column code.
func tell(faults []Fault) []string {
	var out []string
	for _, f := range faults {
		s := fmt.Sprintf("%d:%d %s", f.Line, f.Column, f.Code)
		if f.Warning {
			s += " (warning)"
		}
		out = append(out, s)
	}
	return out
}

func TestFaults(t *testing.T) {
	tests := []struct {
		name, in string
		want     []string
	}{
		{"good", "a: 1\nb: [x, y]\nc: {d: e}\n", nil},
		{"byte order mark and CRLF", "\uFEFFa: 1\r\nb: 2\r\n", nil},
		{"document start alone", "---\na: 1\n", nil},
		{"document end alone", "a: 1\n...\n", nil},
		{"comments", "# top #x\na: x      # required\nb: y # usual\n", nil},
		{"empty", "", []string{"0:0 empty file"}},
		{"only a comment", "# nothing\n", []string{"0:0 empty file"}},
		{"NUL", "a: 1\nb: x\x00y\n", []string{"2:5 not text"}},
		{"no UTF-8", "a: \xe9t\xe9\n", []string{"1:4 not text"}},
		{"UTF-16", "\xff\xfea\x00:\x00", []string{"1:1 not text"}},
		{"control character", "a: é\x07\n", []string{"1:5 not text"}},
		{"duplicate key", "a: 1\nb: 2\na: 3\n", []string{"3:1 duplicate key"}},
		{"duplicate key in brackets", "x: {a: 1, a: 2, a: 3}\n", []string{"1:11 duplicate key", "1:17 duplicate key"}},
		{"second document", "a: 1\n---\nb: 2\n", []string{"2:1 second document"}},
		{"anchor and alias", "a: &x 1\nb: *x\n", []string{"1:4 anchor", "2:4 alias"}},
		{"alias without anchor", "a: 1\nb: *x\n", []string{"2:0 alias"}},
		{"alias as key", "a: &x y\n*x : 1\n", []string{"1:4 anchor", "2:1 alias"}},
		{"tag", "a: !!str 1\nb: !foo [1]\nc: ! 3\nd: hot!\n", []string{"1:4 tag", "2:4 tag", "3:4 tag"}},
		{"tag on the file", "!x\na: 1\n", []string{"1:1 tag"}},
		{"merge key", "a: &x {b: 1}\nc:\n  <<: *x\n", []string{"1:4 anchor", "3:3 merge key", "3:7 alias"}},
		{"key is a list", "[a, b]: 1\n", []string{"1:1 key is no text"}},
		{"key is a mapping", "? {a: b}\n: 1\n", []string{"1:3 key is no text"}},
		{"key missing", ": 1\n", []string{"1:0 not yaml"}},
		{"key missing after a question mark", "? \n: 1\n", []string{"1:2 key is no text"}},
		{"second colon", "a: 1\nb: x: y\n", []string{"2:0 not yaml"}},
		{"tab", "a:\n\tb: 1\n", []string{"2:0 not yaml"}},
		{"percent first", "a: 1\nb: % x\n", []string{"2:0 not yaml"}},
		{"bracket left open", "a: 1\nb: [x\nc: 2\n", []string{"2:0 not yaml"}},
		{"words cut off in brackets", "x: 1\na: {b: tray #3}\nc: 1\n", []string{"2:0 not yaml"}},
		{"indented too little", "a:\n  - b: 1\n  - c: 2\n d: 3\n", []string{"4:0 not yaml"}},
		{"indented too much", "a: 1\n  b: 1\n", []string{"2:0 not yaml"}},
		{"dash forgotten", "a:\n  - b: 1\n  c: 2\n  - d: 3\n", []string{"3:0 not yaml"}},
		{"quote in the middle", "x: 1\na: \"big\" tray\nb: 2\n", []string{"2:0 not yaml"}},
		{"quote left open", "x: 1\na: \"big tray\nb: 2\n", []string{"2:0 not yaml"}},
		{"at sign first", "x: 1\na: @home\nb: 2\n", []string{"2:0 not yaml"}},
		{"comma in brackets", "a: {amount: 1,2 kg, note: x}\nb: {amount: \"1,2 kg\"}\nc: {x: 1, 2 kg: 3}\n", []string{"1:13 decimal comma"}},
		{"comma in a key in brackets", "a: {cream 33,5 %: 3 g}\n", []string{"1:5 decimal comma"}},
		{"comma twice", "a: {x: 1,2 kg, y: 3,4 kg}\n", []string{"1:8 decimal comma", "1:19 decimal comma"}},
		{"words cut off", "a: use tray #3\n", []string{"1:4 words cut off (warning)"}},
		{"words cut off in a list", "a: [one, two #3\n , x]\nb:\n  - tray #3\n", []string{"1:10 words cut off (warning)", "4:5 words cut off (warning)"}},
		{"words cut off on a later line", "a: use the\n   tray #3\nb: c\n", []string{"1:4 words cut off (warning)"}},
		{"all words cut off", "a: #3 is the tray\nb: c\n", []string{"1:1 words cut off (warning)"}},
		{"no words cut off", "a: tray  #3\nb: tray # 3\nc: \"tray #3\"\nd: [x] #y\ne: 'x' #y\nf: #list\n  - g\nh: |\n  tray #3\ni: j\n", nil},
		{"hidden characters", "a: \"x\\0y\"\nb: \"\\u202ex\"\nc: \"é\\n\\t\"\n", []string{"1:4 not text", "2:4 not text"}},
		{"two faults a line", "a: {b: 1, b: 2} \nc: &x *x\n", []string{"2:0 not yaml"}},
		{"nesting", strings.Repeat("[", 20) + strings.Repeat("]", 20), []string{"1:17 too deep"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, faults := Read([]byte(tt.in), Limits{Bytes: 1 << 10})
			if diff := cmp.Diff(tt.want, tell(faults)); diff != "" {
				t.Errorf("faults (-want +got):\n%s%v", diff, faults)
			}
			for _, f := range faults {
				if f.Text == "" || f.Write == "" {
					t.Errorf("says too little: %+v", f)
				}
			}
		})
	}
}

func TestTooLarge(t *testing.T) {
	_, faults := Read([]byte("a: 1234567\n"), Limits{Bytes: 10})
	if diff := cmp.Diff([]string{"0:0 too large"}, tell(faults)); diff != "" {
		t.Error(diff)
	}
}

// What YAML would type stays text.
func TestTextAsWritten(t *testing.T) {
	root, faults := Read([]byte("on: yes\nn: 1.20\nt: 12:00\nd: 2026-01-02\nhex: 0x1F\nnothing:\ntilde: ~\nnull: \"~\"\nq: 'a # b'\nempty: \"\"\nwords: a\n  b\n"),
		Limits{Bytes: 1 << 10})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := map[string]string{"on": "yes", "n": "1.20", "t": "12:00", "d": "2026-01-02", "hex": "0x1F", "nothing": "", "tilde": "", "null": "~",
		"q": "a # b", "empty": "", "words": "a b"}
	got := map[string]string{}
	for k, v := range root.Entries() {
		got[k.Text()] = v.Text()
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestTree(t *testing.T) {
	root, _ := Read([]byte("é: [x, {y: z}]\nb:\n  - c: 1\n    d: 2\n"), Limits{Bytes: 1 << 10})
	list := root.Get("é")
	if list.Kind() != List || list.Len() != 2 || !list.Flow() || list.Item(0).Text() != "x" || list.Item(0).Column() != 5 {
		t.Errorf("list read wrong: %v %v %v", list.Kind(), list.Len(), list.Item(0).Column())
	}
	d := root.Get("b").Item(0).Get("d")
	if d.Text() != "2" || d.Line() != 4 || d.Column() != 8 {
		t.Errorf("d is %q at %d:%d", d.Text(), d.Line(), d.Column())
	}
	if k, v := list.Item(1).Entry(0); k.Text() != "y" || v.Text() != "z" {
		t.Errorf("entry is %q: %q", k.Text(), v.Text())
	}
	none := root.Get("zz").Get("y")
	if none.Exists() || none.Kind() != None || none.Text() != "" || !none.Empty() || none.Len() != 0 || none.Line() != 0 {
		t.Error("a node that is not there says something")
	}
}

// The cut number is put together again, so that the rest can be judged.
func TestDecimalCommaIsMended(t *testing.T) {
	root, _ := Read([]byte("a: {amount: 1,2 kg, note: x}\nb: {cream 33,5 %: 3 g, d: 1}\n"), Limits{Bytes: 1 << 10})
	if got := root.Get("a").Get("amount").Text(); got != "1,2 kg" {
		t.Errorf("amount is %q", got)
	}
	if got := root.Get("b").Get("cream 33,5 %").Text(); got != "3 g" || root.Get("b").Len() != 2 {
		t.Errorf("cream is %q, %d keys", got, root.Get("b").Len())
	}
}

// Hostile files give a fault, soon and with little memory.
func TestHostile(t *testing.T) {
	const size = 256 << 10
	var laughs strings.Builder
	laughs.WriteString("a0: &a0 [ha, ha]\n")
	for i := 1; i < 40; i++ {
		fmt.Fprintf(&laughs, "a%d: &a%d [*a%d, *a%d, *a%d, *a%d]\n", i, i, i-1, i-1, i-1, i-1)
	}
	tests := map[string]string{
		"aliases of aliases": laughs.String(),
		"open brackets":      strings.Repeat("[", 100_000),
		"closed brackets":    strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000),
		"9000 brackets":      strings.Repeat("[", 9_000) + strings.Repeat("]", 9_000),
		"open braces":        strings.Repeat("{a: ", 60_000),
		"dashes":             strings.Repeat("- ", 100_000) + "x",
		"question marks":     strings.Repeat("? ", 100_000) + "x",
		"same key":           strings.Repeat("a: 1\n", size/5),
		"same key in braces": "{" + strings.Repeat("a: 1,", size/5-1) + "}",
		"cut numbers":        "{a: 1" + strings.Repeat(",2", size/2-5) + "}",
		"tags":               "[" + strings.Repeat("!a b,", size/5-1) + "]",
		"comments":           strings.Repeat("a #b\n", size/5),
		"comments and keys":  strings.Repeat("a: b #b\n", size/8),
		"quote left open":    "a: \"" + strings.Repeat("x", size-4),
		"block left open":    "a: |\n" + strings.Repeat(" x\n", size/3-2) + "b",
	}
	for name, in := range tests {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, faults := Read([]byte(in), Limits{Bytes: size})
			runtime.ReadMemStats(&after)
			if mib := (after.TotalAlloc - before.TotalAlloc) >> 20; mib > 200 { // all that was ever allocated
				t.Errorf("%d MiB for a file of %d KiB", mib, len(in)>>10)
			}
			if len(faults) == 0 {
				t.Fatal("no fault")
			}
			if len(faults) > MostFaults+1 {
				t.Errorf("%d faults", len(faults))
			}
			for _, f := range faults {
				if len(f.Text)+len(f.Write) > 1000 {
					t.Errorf("a fault of %d bytes", len(f.Text)+len(f.Write))
				}
			}
		})
	}
}

func TestHugeLineIsText(t *testing.T) {
	words := strings.Repeat("word ", 50_000)
	root, faults := Read([]byte("notes: "+words), Limits{Bytes: 256 << 10})
	if len(faults) > 0 || root.Get("notes").Text() != strings.TrimSpace(words) {
		t.Errorf("%d bytes, faults %v", len(root.Get("notes").Text()), faults)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"ingredients", "method", "makes", "keeps", "stir every", "based on"}
	for in, want := range map[string]string{
		"ingredient": "ingredients", "Method": "method", "stir-every": "stir every", "stirevery": "stir every", "baesd on": "based on",
		"kepes": "keeps", "zone": "", "": "", "x": "",
	} {
		if got := Nearest(in, known); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestFaultsOfForm(t *testing.T) {
	root, _ := Read([]byte("mehtod: [x]\nmakes: {a: b}\nxyz: 1\n"), Limits{Bytes: 1 << 10})
	var f Faults
	f.Keys(root, []string{"method", "makes"})
	if _, ok := f.Text(root.Get("makes"), "makes"); ok {
		t.Error("a mapping is text")
	}
	if f.Seq(root.Get("makes"), "makes", "[a]") || f.Map(root.Get("mehtod"), "method", "{a: b}") {
		t.Error("kinds mixed up")
	}
	got := f.List()
	want := []Fault{
		{Code: CodeUnknownKey, Line: 1, Column: 1, Text: "The key “mehtod” is not known here.", Write: "method:"},
		{Code: CodeKind, Line: 1, Column: 9, Text: "method has keys with values under it, not a list.", Write: "{a: b}"},
		{Code: CodeKind, Line: 2, Column: 8, Text: "makes is a few words on one line, not a mapping.", Write: "makes: WORDS"},
		{Code: CodeKind, Line: 2, Column: 8, Text: "makes is a list, not a mapping.", Write: "[a]"},
		{Code: CodeUnknownKey, Line: 3, Column: 1, Text: "The key “xyz” is not known here.", Write: "one of: method, makes"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"a: 1", "a: {b: 1,2 kg}", "a: use #3\nb: [c #d\n]", "? [a]\n: &x *x", "---\n...\n---", "a: |\n  x\n b", "!x y", "\uFEFFé: \"\\u0000\""} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		root, faults := Read(data, Limits{Bytes: 1 << 16})
		if !root.Exists() && len(faults) == 0 {
			t.Fatal("nothing read and no fault")
		}
		for i, f := range faults {
			if f.Text == "" || f.Write == "" || f.Code == "" || f.Line < 0 || f.Column < 0 {
				t.Errorf("bad fault %+v", f)
			}
			if i > 0 && f.Line < faults[i-1].Line {
				t.Error("faults out of order")
			}
		}
	})
}
