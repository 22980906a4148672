package spoil

import (
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
)

var (
	anySlot = regexp.MustCompile(`\[\[(\d)\]\]`)
)

// marks are slots written another way, %d is the number.
var marks = []string{
	"[[ %d ]]", "[[0%d]]", "[[%d]", "[%d]]", "［［%d］］", "[[[%d]]]", "[%d]", "{{%d}}", "((%d))", "<<%d>>", "[[+%d]]", "[[-%d]]", "[[%d.0]]", "[[slot %d]]",
	"[ [%d] ]", "[[%d]]]", "[[[%d]]", "[[[[%d]]]]", "[[%d|g]]", "[[%d:kg]]", "[[#%d]]", "[[\u200b%d]]", "[[%d\u00a0]]", "⟦%d⟧", "\\[\\[%d\\]\\]", "[[%de0]]", "[[0x%d]]",
	"$%d", "[[%d]] [[", "]] [[%d]]", "[[%d\n]]", "[[%d,]]", "slot %d", "[[%d×]]", "⁅%d⁆", "【【%d】】", "[[a%d]]", "[[%d%%]]",
}

// glued are words and signs that change the figure they touch, {1}.
var glued = []string{
	"{1}0", "1{1}", "{1}k", "−{1}", "-{1}", "{1}g", "{1}%", "{1}.5", "0.{1}", "{1}s", "x{1}", "{1}x", "×{1}", "±{1}", "~{1}", "<{1}", ">{1}", "≤{1}", "≥ {1}", "≈ {1}",
	"{1}+", "+{1}", "{1}½", "½{1}", "{1}²", "{1}kg", "€{1}", "{1}°", "{1}ish", "{1}-ish", "m{1}", "{1}ml", "no{1}", "{1}/", "{1}*", "half-{1}", "non-{1}", "{1}/day",
	"{1}'s", "{1}er", "un{1}", "{1}^", "√{1}", "{1}-plus", "sub-{1}",
}

// slotKinds do something to the slots themselves.
func slotKinds() []kind {
	return []kind{
		{"slot dropped", "", func(r *rand.Rand, d good) (string, string) {
			n := 1 + r.IntN(len(d.body.Slots))
			return strings.Replace(d.text, slot(n), pick(r, []string{"", "it", "that", "the usual", "what you asked"}), 1), d.text
		}},
		{"slot doubled", "", func(r *rand.Rand, d good) (string, string) {
			n := 1 + r.IntN(len(d.body.Slots))
			return pick(r, []string{
				d.text + " Again: " + slot(n) + ".", put(d, n, "{1} {1}"), put(d, n, "{1}, {1}"), d.text + " " + d.text, put(d, n, "{1} and {1}"), slot(n) + "! " + d.text,
			}), d.text + pick(r, []string{" Got that?", " Here you go.", " Easy!"})
		}},
		{"slot invented", "", func(r *rand.Rand, d good) (string, string) {
			n := len(d.body.Slots) + 1 + r.IntN(3)
			if r.IntN(4) == 0 {
				n = pick(r, []int{0, 99, 11, 21})
			}
			return pick(r, []string{d.text + " And " + slot(n) + ".", put(d, 1, "{1} "+slot(n)), put(d, 1, slot(n))}), d.text
		}},
		{"slots all the same", "", func(r *rand.Rand, d good) (string, string) {
			if len(d.body.Slots) < 2 {
				return "", ""
			}
			return anySlot.ReplaceAllString(d.text, slot(1+r.IntN(len(d.body.Slots)))), d.text
		}},
		{"slots change places", "en", func(r *rand.Rand, d good) (string, string) {
			// Roles of the words are swapped: "for the amount you need the recipe".
			bad := map[string][]string{
				"amount": {"You need [[2]] for [[1]].", "[[1]] takes [[2]].", "For [[1]] use [[2]].", "[[1]] calls for [[2]]."},
				"sized":  {"You need [[2]] for [[1]], that's [[3]].", "[[1]] takes [[2]], at [[3]]."},
				"pair":   {"[[1]] takes [[3]] and [[2]].", "You need [[3]] and [[1]] for [[2]]."},
			}[d.shape]
			twin := map[string][]string{
				"amount": {"For [[2]] you need [[1]].", "[[2]] takes [[1]].", "[[1]] goes into [[2]]."},
				"sized":  {"For [[2]] you need [[1]], that's [[3]].", "[[2]] takes [[1]], at [[3]]."},
				"pair":   {"[[3]] takes [[2]] and [[1]].", "You need [[2]] and [[1]] for [[3]]."},
			}[d.shape]
			if bad == nil {
				return "", ""
			}
			return pick(r, bad), pick(r, twin)
		}},
		{"slot written another way", "", func(r *rand.Rand, d good) (string, string) {
			n := 1 + r.IntN(len(d.body.Slots))
			mark := strings.ReplaceAll(pick(r, marks), "%%", "%")
			return strings.Replace(d.text, slot(n), strings.ReplaceAll(mark, "%d", strconv.Itoa(n)), 1), d.text
		}},
		{"slot nested", "", func(r *rand.Rand, d good) (string, string) {
			if len(d.body.Slots) < 2 {
				return "", ""
			}
			nested := pick(r, []string{"[[[[1]]2]]", "[[1[[2]]]]", "[[1]][[2]]", "[[1]2]]", "[[1,2]]", "[[1-2]]", "[[1]]/[[2]]", "[[1]]-[[2]]", "[[1]]×[[2]]", "[[1]]:[[2]]", "[[12]]", "[[1]].[[2]]"})
			t := strings.Replace(d.text, slot(2), "", 1)
			return strings.Replace(t, slot(1), nested, 1), put(d, 1, "({1})")
		}},
		{"slot glued to something", "", func(r *rand.Rand, d good) (string, string) {
			return put(d, 1, pick(r, glued)), put(d, 1, pick(r, []string{"({1})", "{1},", "{1} –"}))
		}},
		{"slot written out by the model", "", func(r *rand.Rand, d good) (string, string) {
			n := 1 + r.IntN(len(d.body.Slots))
			text := d.body.Slots[n-1].Text
			return pick(r, []string{strings.Replace(d.text, slot(n), text, 1), d.text + " (" + text + ")", put(d, n, "{1} = "+text)}), d.text
		}},
		{"slot said to be another's", "en", func(r *rand.Rand, d good) (string, string) {
			if d.shape != "two" && d.shape != "costs" && d.shape != "steps" && d.shape != "pair" {
				return "", ""
			}
			lies := []string{"[[1]] to [[2]]", "between [[1]] and [[2]]", "from [[1]] to [[2]]", "[[1]] minus [[2]]", "[[1]] times [[2]]", "[[1]] per [[2]]", "not [[1]] but [[2]]", "more [[1]] than [[2]]", "[[1]] rather than [[2]]", "[[1]] instead of [[2]]"}
			if d.shape == "pair" {
				lies = append(lies, "[[1]] or [[2]]", "either [[1]] or [[2]]", "[[1]] without [[2]]", "[[1]] or else [[2]]")
			}
			bad, twin := pick(r, lies), pick(r, []string{"[[1]] and [[2]]", "[[1]] with [[2]]", "[[1]], then [[2]]"})
			if len(d.body.Slots) > 2 {
				bad, twin = bad+" for [[3]]", twin+" for [[3]]"
			}
			return "That's " + bad + ".", "That's " + twin + "."
		}},
		{"slot alone of many", "", func(r *rand.Rand, d good) (string, string) {
			if len(d.body.Slots) < 2 {
				return "", ""
			}
			n := 1 + r.IntN(len(d.body.Slots))
			return pick(r, []string{slot(n), slot(n) + ".", "Chef: " + slot(n)}), d.body.Text()
		}},
		{"word inside a slot", "", func(r *rand.Rand, d good) (string, string) {
			return put(d, 1, pick(r, []string{"[[about 1]]", "[[1 or so]]", "[[1 g]]", "[[one]]", "[[un]]", "[[I]]", "[[①]]", "[[１]]", "[[١]]", "[[¹]]", "[[x]]", "[[]]", "[[1a]]"})), d.text
		}},
		{"empty", "", func(r *rand.Rand, d good) (string, string) {
			return pick(r, []string{"", " ", "\n", "\t\t", ".", "…", "\u200b", "\u00a0", "[[]]", "null", "OK", "-"}), d.body.Text()
		}},
		{"very long", "", func(r *rand.Rand, d good) (string, string) {
			n := 300 + r.IntN(2000)
			return pick(r, []string{
				d.text + strings.Repeat(" sure", n), strings.Repeat("sure, ", n) + d.text, d.text + strings.Repeat("!", 3*n), d.text + strings.Repeat("\n", 3*n) + "OK",
				d.text + strings.Repeat("ha", 3*n), strings.Repeat(d.text+" ", n),
			}), d.text + strings.Repeat("!", r.IntN(2))
		}},
		{"no words but a broken template", "", func(r *rand.Rand, d good) (string, string) {
			t := d.body.Text()
			return pick(r, []string{t[:len(t)-1], t[1:], t + "]]", "[[" + t, strings.ReplaceAll(t, "]]", "] ]"), t + "\n" + t, strings.ReplaceAll(t, "[[", "[[-")}), t
		}},
		{"words cut in the middle", "en", func(r *rand.Rand, d good) (string, string) {
			i := strings.LastIndex(d.text, "[[")
			return d.text[:i+1+r.IntN(4)], d.text
		}},
	}
}
