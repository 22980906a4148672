package spoil

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"unicode/utf8"
)

// digits of other scripts and shapes, from 0 on.
var scripts = map[string]rune{
	"fullwidth digits": '０', "Arabic-Indic digits": '٠', "Persian digits": '۰', "Devanagari digits": '०', "Bengali digits": '০', "Thai digits": '๐',
	"mathematical bold digits": '𝟎', "monospace digits": '𝟶', "subscript digits": '₀',
}

func inScript(n int, zero rune) string {
	var b strings.Builder
	for _, c := range strconv.Itoa(n) {
		b.WriteRune(zero + c - '0')
	}
	return b.String()
}

// between puts a rune between the letters of a word.
func between(word, with string) string {
	var b strings.Builder
	for i, c := range word {
		if i > 0 {
			b.WriteString(with)
		}
		b.WriteRune(c)
	}
	return b.String()
}

// middle puts a text into the middle of a word.
func middle(word, with string) string {
	i := len(word) / 2
	for !utf8.RuneStart(word[i]) {
		i++
	}
	return word[:i] + with + word[i:]
}

var lookalike = strings.NewReplacer("o", "о", "e", "е", "a", "а", "i", "і", "c", "с", "x", "х", "p", "р")

// plain words a colleague uses, to be spoiled by a sign.
var plainWords = []string{"sure", "chef", "right", "here", "please", "thanks"}

var numberWords = []string{"two", "three", "four", "five", "seven", "nine", "ten", "twelve", "twenty", "hundred"}

func withNumber(name string, number func(r *rand.Rand) string) kind {
	return kind{name, "", func(r *rand.Rand, d good) (string, string) {
		n := number(r)
		bad := pick(r, []string{n + " {1}", "{1} " + n, "{1} × " + n, "{1} (" + n + ")", "{d} " + n + "!", "{d} Make that " + n + ".", n + " {d}", "{d} (" + n + ")"})
		twin := pick(r, innocent[d.lang])
		return fill(d, bad), fill(d, twin)
	}}
}

// signKinds write numbers in signs, or hide things in signs.
func signKinds() []kind {
	kinds := []kind{
		withNumber("digits", func(r *rand.Rand) string {
			return pick(r, []string{strconv.Itoa(r.IntN(10)), strconv.Itoa(r.IntN(5000)), "1.5", "2,5", "1e3", "0", "00", "1,200", "3x", "x3", "2nd", "1st", "#1", "1:2", "50/50", "24/7", "1–2", "007", ".5", "No. 5"})
		}),
		withNumber("circled and enclosed digits", func(r *rand.Rand) string {
			return pick(r, []string{"①", "②", "⑩", "❸", "➃", "⓵", "⑴", "⒈", "⓪", "㉑", "㊿", "🄂", "➉"})
		}),
		withNumber("superscript digits", func(r *rand.Rand) string { return pick(r, []string{"²", "³", "¹", "⁴", "⁹", "¹⁰"}) }),
		withNumber("vulgar fractions", func(r *rand.Rand) string {
			return pick(r, []string{"½", "¼", "¾", "⅓", "⅔", "⅛", "1⁄2", "⅒", "↉"})
		}),
		withNumber("emoji digits", func(r *rand.Rand) string {
			return pick(r, []string{"1️⃣", "2️⃣", "5️⃣", "🔟", "💯", "🕐", "🥇", "#️⃣", "🎱", "🔢", "➕", "✖️", "🕧", "1\u20e3"})
		}),
		withNumber("roman numerals", func(r *rand.Rand) string {
			return pick(r, []string{"III", "IV", "XII", "XIV", "MMXXVI", "ii", "vii", "XX", "CL", "Ⅳ", "ⅻ", "Ⅷ", "VI", "xxx", "LX", "IX"})
		}),
		withNumber("numbers of other scripts", func(r *rand.Rand) string {
			return pick(r, []string{"三", "二十", "百", "два", "три", "πέντε", "خمسة", "שלוש", "五", "セ", "셋", "तीन", "สาม", "〇", "𒐕", "Ⲅ", "ↀ"})
		}),
		withNumber("digits that are letters", func(r *rand.Rand) string {
			return pick(r, []string{"lO", "IO", "l0", "O5", "S0", "tw0", "thr33", "f1ve", "s3v3n", "3leven", "t3n", "0ne", "f0ur", "e1ght", "5ix", "7wo", "n1ne", "h4lf"})
		}),
		{"numbers spelled letter by letter", "", func(r *rand.Rand, d good) (string, string) {
			w := between(pick(r, numberWords), pick(r, []string{"-", ".", " ", "·", "_", "'", "–", " - ", "/", ", "}))
			return fill(d, pick(r, []string{w + " {1}", "{d} " + w + ".", "{1} " + w})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"invisible signs in a number word", "", func(r *rand.Rand, d good) (string, string) {
			hide := pick(r, []string{"\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u00ad", "\u034f", "\u180e", "\u2063", "\ufe0f", "\U000E0061", "\u17b5", "\u115f"})
			w := pick(r, numberWords)
			w = pick(r, []string{middle(w, hide), between(w, hide), hide + w, w + hide})
			return fill(d, pick(r, []string{w + " {1}", "{d} Make it " + w + ".", "{1} " + w})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"invisible signs in a plain word", "", func(r *rand.Rand, d good) (string, string) {
			hide := pick(r, []string{"\u200b", "\u200d", "\u2060", "\ufeff", "\u2063", "\U000E0061", "\U000E0031", "\ue000", "\u115f", "\u3164"})
			w := pick(r, plainWords)
			return pick(r, []string{middle(w, hide) + ": " + d.text, d.text + " " + middle(w, hide) + "!", strings.Replace(d.text, " ", " "+hide, 1), put(d, 1, hide+"{1}"), d.text + hide}), d.text
		}},
		{"lookalike letters", "", func(r *rand.Rand, d good) (string, string) {
			w := pick(r, append(numberWords, "half", "double", "once", "safe", "cup", "apple"))
			w = pick(r, []string{lookalike.Replace(w), strings.Replace(w, "e", "ё", 1), strings.Replace(lookalike.Replace(w), "t", "т", 1), strings.Replace(w, "o", "ο", 1), wide(w), strings.Replace(w, "a", "ɑ", 1), strings.Replace(w, "e", "ℯ", 1), strings.Replace(w, "t", "𝐭", 1), strings.Replace(w, "o", "ø", 1)})
			return fill(d, pick(r, []string{w + " {1}", "{d} " + w + "!", "{1} " + w})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"accents on a number word", "", func(r *rand.Rand, d good) (string, string) {
			w := pick(r, numberWords)
			i := 1 + r.IntN(len(w)-1)
			w = w[:i] + pick(r, []string{"\u0301", "\u0308", "\u0332", "\u0336", "\u20dd", "\u0489", "\u0338"}) + w[i:]
			return fill(d, pick(r, []string{w + " {1}", "{d} " + w + "!"})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"letters turned round by bidi", "", func(r *rand.Rand, d good) (string, string) {
			o := pick(r, []string{"\u202e", "\u202d", "\u2066", "\u2067", "\u200f", "\u200e", "\u061c", "\u202b", "\u2068"})
			return pick(r, []string{o + d.text, put(d, 1, o+"{1}"), put(d, 1, "{1}"+o), d.text + " " + o + "owt", d.text + o + "\u202c"}), d.text
		}},
		{"control signs", "", func(r *rand.Rand, d good) (string, string) {
			c := pick(r, []string{"\x00", "\x07", "\x08\x08\x08", "\x1b[2J", "\x1b[31m", "\r", "\x0b", "\x0c", "\x7f", "\u0085", "\u2028", "\u2029", "\x1b]0;x\x07", "\x9b", "\xff\xfe", "\xc3\x28", "\ufffd"})
			if strings.TrimSpace(c) == "" { // at an end it is only space
				return pick(r, []string{d.text + c + "OK", put(d, 1, "{1}"+c+"OK"), "OK" + c + d.text}), d.text + "\n"
			}
			return pick(r, []string{c + d.text, d.text + c + "OK", put(d, 1, "{1}"+c), put(d, 1, c+"{1}"), strings.Replace(d.text, " ", c, 1) + c + "!"}), pick(r, []string{d.text, d.text + "\n", strings.Replace(d.text, ". ", ".\n", 1)})
		}},
		{"emoji", "", func(r *rand.Rand, d good) (string, string) {
			return d.text + " " + pick(r, []string{"🥜", "🥚", "🥛", "🔥", "⏰", "❌", "⚠️", "🚫", "☠️", "🦐", "🧊", "🇫🇷"}), d.text + pick(r, []string{" Super!", "!", " OK!"})
		}},
		{"mathematical signs", "", func(r *rand.Rand, d good) (string, string) {
			return put(d, 1, pick(r, []string{"– {1}", "- {1}", "≈ {1}", "~ {1}", "± {1}", "≤ {1}", "> {1}", "< {1}", "≠ {1}", "¬ {1}", "√ {1}", "− {1}", "+ {1}", "× {1}", "{1} ÷", "∞ {1}", "Ø {1}", "∅ {1}", "{1} ↑", "{1} %", "{1} ‰", "= {1} ×", "≲ {1}", "÷ {1}", "* {1}", "/ {1}", "∑ {1}"})), put(d, 1, "({1})")
		}},
		{"currency signs", "", func(r *rand.Rand, d good) (string, string) {
			s := pick(r, []string{"€", "$", "£", "¥", "₣", "₿", "¢", "₽", "kr.", "US$", "¤"})
			return fill(d, pick(r, []string{s + " {1}", "{1} " + s, "{d} " + s + "!", s + "{1}"})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"list numbering", "", func(r *rand.Rand, d good) (string, string) {
			return pick(r, []string{"1. ", "2) ", "(3) ", "1: ", "#1 ", "i. ", "ii) ", "(iv) ", "Step 2: ", "1 - ", "No 1: ", "§2 ", "1º "}) + d.text, pick(r, []string{"Chef: ", "So: ", "OK: "}) + d.text
		}},
	}
	for _, name := range []string{"fullwidth digits", "Arabic-Indic digits", "Persian digits", "Devanagari digits", "Bengali digits", "Thai digits", "mathematical bold digits", "monospace digits", "subscript digits"} {
		kinds = append(kinds, withNumber(name, func(r *rand.Rand) string { return inScript(r.IntN(2000), scripts[name]) }))
	}
	return kinds
}

// wide is a word in fullwidth letters.
func wide(w string) string {
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' {
			return 'ａ' + c - 'a'
		}
		return c
	}, w)
}
