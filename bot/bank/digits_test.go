package bank

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var digitRun = regexp.MustCompile(`\d+(?:[.,]\d+)?`)

var quotedWords = regexp.MustCompile(`"[^"]*"|“[^”]*”`)

// looseDigits returns the numbers a person reads in the text that no fact, name or quoted word of the reply carries.
func looseDigits(r reply, bookNames []string) []string {
	carried := slices.Clone(bookNames)
	var values, before []float64
	for _, f := range r.Facts {
		carried = append(carried, f.Shown, f.What, f.Of, f.Part, f.At, f.Source)
		carried = append(carried, f.Items...)
		values = append(values, f.numbers()...)
		for _, n := range digitRun.FindAllString(f.Shown, -1) { // "0.13 pods (0.4 g)" may be said again in parts
			if v, err := strconv.ParseFloat(n, 64); err == nil {
				values = append(values, v)
			}
		}
		if was, ok := f.Was.(float64); ok { // shown rounded, beside what is now
			before = append(before, was)
		}
		if f.Plus != nil {
			values = append(values, *f.Plus)
		}
	}
	carried = append(carried, r.Words...)
	carried = append(carried, r.Assumed...)
	carried = append(carried, r.Choices...)
	carried = append(carried, r.Ask, r.Recipe)
	for _, c := range r.Cautions {
		carried = append(carried, c.Text)
	}
	slices.SortFunc(carried, func(a, b string) int { return len(b) - len(a) })
	text := strings.ToLower(r.Text)
	if r.Status != "answer" { // what was typed is given back in quotes
		text = quotedWords.ReplaceAllString(text, " ")
	}
	for _, c := range carried {
		if strings.ContainsAny(c, "0123456789") {
			text = without(text, strings.ToLower(c))
		}
	}
	if r.About == "help" && len(r.Facts) == 0 { // its examples are nobody's numbers
		return nil
	}
	var loose []string
	next := 1
	for _, l := range strings.Split(text, "\n") {
		for _, m := range digitRun.FindAllStringIndex(l, -1) {
			n, err := strconv.ParseFloat(strings.Replace(l[m[0]:m[1]], ",", ".", 1), 64)
			same := func(v float64) bool { return math.Abs(v-n) <= 1e-6*math.Abs(v) }
			rounded := func(v float64) bool { return math.Abs(v-n) <= 0.006*math.Abs(v) }
			if err == nil && (slices.ContainsFunc(values, same) || slices.ContainsFunc(before, rounded)) {
				continue
			}
			if m[0] == 0 && n == float64(next) { // the number of a step or a choice
				next++
				continue
			}
			loose = append(loose, l[m[0]:m[1]])
		}
	}
	return loose
}

// without cuts a string out where it stands alone, so that "8 g" never hides "48 g".
func without(text, cut string) string {
	var out strings.Builder
	for {
		i := strings.Index(text, cut)
		if i < 0 {
			return out.String() + text
		}
		end := i + len(cut)
		before := i == 0 || !strings.ContainsRune("0123456789.,", rune(text[i-1])) || !digit(cut[0])
		after := end == len(text) || !digit(text[end]) || !digit(cut[len(cut)-1])
		if before && after {
			out.WriteString(text[:i] + " ")
		} else {
			out.WriteString(text[:end])
		}
		text = text[end:]
	}
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// names lists what a book calls things, digits and all.
func (b *book) names() []string {
	out := []string{b.foodCode}
	for _, r := range b.recipes {
		out = append(out, r.name)
		out = append(out, r.also...)
		for _, l := range r.lines {
			out = append(out, l.name)
		}
	}
	for _, it := range b.larder {
		out = append(out, it.name)
		out = append(out, it.also...)
	}
	for n := range b.pans {
		out = append(out, n)
	}
	for n := range b.moulds {
		out = append(out, n)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
