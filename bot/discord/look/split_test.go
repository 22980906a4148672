package look

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// squeezed is a text without its white space, fences and glue: what a reader reads.
func squeezed(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == glue {
			return -1
		}
		return r
	}, s)
}

// lines are random lines as a reply has them: words, numbers with units, hostile bits.
func lines() *rapid.Generator[[]piece] {
	word := rapid.OneOf(
		rapid.SampledFrom([]string{"450 g", "1.5 kg", "2 1/2 cups", "10 h to 24 h", "× 3", "− 18 °C", "12 covers", "cream 35 %", "€ 4.20", "±", "3", "**fold**", "~~no~~", "```", "`", "<@123>", "<t:1:R>",
			"@everyone", "- [ ]", "# big", "1. one", ">>>", "https://example.org/a_b", "👩‍🍳", "é̂", "日本", "\\", "|| spoiler ||", "\u202Eevil", "a\tb"}),
		rapid.StringMatching(`[a-z]{1,12}`), rapid.StringN(0, 6, 20), rapid.StringMatching(`[0-9]{1,9}`))
	line := rapid.Custom(func(t *rapid.T) piece {
		ws := rapid.SliceOfN(word, 0, 30).Draw(t, "words")
		s := strings.ReplaceAll(strings.Join(ws, " "), "\n", " ")
		if rapid.Bool().Draw(t, "code") {
			s = strings.ReplaceAll(clean(s), "`", "'")
			for columns(s) > tableColumns {
				_, n := utf8.DecodeLastRuneInString(s)
				s = s[:len(s)-n]
			}
			return piece{text: s, code: true}
		}
		return piece{text: bind(escape(s, true))}
	})
	return rapid.SliceOfN(line, 1, 40)
}

func checkPacked(t interface{ Fatalf(string, ...any) }, ps []piece, most int) {
	parts := pack(ps, most)
	var want, got strings.Builder
	for _, p := range ps {
		want.WriteString(p.text + "\n")
	}
	for _, s := range parts {
		if units(s) > most || units(s) == 0 {
			t.Fatalf("a message of %d units, %d at most", units(s), most)
		}
		if strings.ContainsRune(s, glue) {
			t.Fatalf("glue is left in %q", s)
		}
		if !utf8.ValidString(s) {
			t.Fatalf("%q is cut inside a letter", s)
		}
		if strings.Count(s, fence)%2 != 0 {
			t.Fatalf("a code block is left open in %q", s)
		}
		got.WriteString(strings.ReplaceAll(s, fence, "\n") + "\n")
	}
	if squeezed(want.String()) != squeezed(got.String()) {
		t.Fatalf("lost or reordered:\n%q\n%q", squeezed(want.String()), squeezed(got.String()))
	}
}

// Splitting loses nothing, reorders nothing, leaves no code block open and keeps
// the bound, whatever the lines are.
func TestPack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkPacked(t, lines().Draw(t, "lines"), rapid.SampledFrom([]int{60, 100, 200, mostContent}).Draw(t, "most"))
	})
}

// A number stays with its unit: at every cut of plain lines, what ends one message
// and begins the next is not a number and what follows it.
func TestNumberKeepsUnit(t *testing.T) {
	cuts := 0
	rapid.Check(t, func(t *rapid.T) {
		ws := rapid.SliceOfN(rapid.SampledFrom([]string{"450 g", "1.5 kg", "2 1/2 cups", "10 h", "to", "× 3", "12 covers", "fold", "whole milk", "−18 °C", "never over 2 days", "± 3 g", "35 %", "~ 5 min"}), 1, 60).Draw(t, "words")
		most := rapid.IntRange(30, 90).Draw(t, "most")
		parts := pack([]piece{{text: bind(escape(strings.Join(ws, " "), true))}}, most)
		for i := 1; i < len(parts); i++ {
			cuts++
			a, b := strings.Fields(parts[i-1]), strings.Fields(parts[i])
			last := a[len(a)-1]
			if endsInNumber(last) {
				t.Fatalf("%q | %q", parts[i-1], parts[i])
			}
			if isSign(last) && startsWithNumber(b[0]) {
				t.Fatalf("a sign is cut off: %q | %q", parts[i-1], parts[i])
			}
		}
	})
	if cuts == 0 {
		t.Error("nothing was cut")
	}
}

func TestBreakLine(t *testing.T) {
	for _, tt := range []struct {
		in   string
		most int
		want []string
	}{
		{"whisk until stiff", 40, []string{"whisk until stiff"}},
		{"whisk until stiff", 12, []string{"whisk until", "stiff"}},
		{"add 450 g milk", 7, []string{"add", "450 g", "milk"}},
		{"rest 10 h to 24 h", 12, []string{"rest 10 h to", "24 h"}},
		{"milk × 3 batches", 7, []string{"milk", "× 3 bat", "ches"}},
		{"fold - then chill", 8, []string{"fold -", "then", "chill"}},
		{"abcdefghij", 4, []string{"abcd", "efgh", "ij"}},
		{"ab1234567", 6, []string{"ab", "123456", "7"}}, // nothing but digits: cut where it must be
		{"👩‍🍳👩‍🍳", 6, []string{"👩‍🍳", "👩‍🍳"}},
		{"", 5, []string{""}},
	} {
		var got []string
		for _, s := range breakLine(bind(tt.in), tt.most) {
			got = append(got, strings.ReplaceAll(s, string(glue), " "))
		}
		if strings.Join(got, "|") != strings.Join(tt.want, "|") {
			t.Errorf("%q at %d: %q, want %q", tt.in, tt.most, got, tt.want)
		}
	}
}

func TestEscape(t *testing.T) {
	for _, tt := range []struct{ in, want string }{
		{"cream 35 %", "cream 35 %"},
		{"**bold** _it_ ~~no~~ `x` ||s||", `\*\*bold\*\* \_it\_ \~\~no\~\~ \` + "`x\\` " + `\|\|s\|\|`},
		{"# big", `\# big`}, {"> said", `\> said`}, {"- one", `\- one`}, {"-# small", `\-# small`}, {"  - two", `  \- two`},
		{"1. one", `1\. one`}, {"12) one", `12\) one`}, {"3.5 leaves", "3.5 leaves"},
		{"@everyone", "@\u200Beveryone"}, {"<@175928847299117063>", "\\<@\u200B175928847299117063>"}, {"<#12>", `\<#12>`}, {"<t:0:R>", `\<t:0:R>`},
		{"[here](https://example.org)", `\[here\](https\://example.org)`},
		{`a\*b`, `a\\\*b`},
		{"abc\u202Ecba\x00\x1b[31m", `abccba\[31m`},
		{"a\u00A0b", "a b"},
	} {
		if got := escape(tt.in, true); got != tt.want {
			t.Errorf("%q: %q, want %q", tt.in, got, tt.want)
		}
	}
}

func TestColumns(t *testing.T) {
	for s, want := range map[string]int{"": 0, "450 g": 5, "日本": 4, "é": 1, "e\u0301": 1, "½ °C": 4, "crème": 5} {
		if got := columns(s); got != want {
			t.Errorf("%q: %d columns, want %d", s, got, want)
		}
	}
}

func TestUnits(t *testing.T) {
	for s, want := range map[string]int{"": 0, "abc": 3, "é": 1, "🍐": 2} {
		if got := units(s); got != want {
			t.Errorf("%q: %d units, want %d", s, got, want)
		}
	}
	if s := cut(strings.Repeat("🍐", 60), 100); units(s) > 100 || !strings.HasSuffix(s, "🍐…") {
		t.Errorf("cut to %d units: %q", units(s), s)
	}
}

func FuzzPack(f *testing.F) {
	f.Add("450 g egg yolk\n2 1/2 cups cream", "1150 g  whole milk", 20)
	f.Add("```\n**x** 1 2 3 4 5 6 7 8 9", "–", 33)
	f.Add(strings.Repeat("9", 300), "", 64)
	f.Add("\\\\\\\\\\\\ ** ** <t:", "a", 10)
	f.Fuzz(func(t *testing.T, text, row string, most int) {
		if most < 20 || most > 4096 || len(text) > 8000 {
			return
		}
		var ps []piece
		for line := range strings.SplitSeq(text, "\n") {
			ps = append(ps, piece{text: bind(escape(line, true))})
		}
		row = strings.ReplaceAll(strings.ReplaceAll(clean(row), "`", "'"), "\n", " ")
		if units(row) <= most-8 {
			ps = append(ps, piece{text: row, code: true}, piece{text: "after"})
		} else {
			ps = append(ps, piece{text: "after"})
		}
		checkPacked(t, ps, most)
	})
}
