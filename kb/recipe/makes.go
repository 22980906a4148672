package recipe

import (
	"strings"

	"tamis/calc/quantity"
)

const aMakes = "1.05 kg, 24 pieces, 20 pieces of 50 g, 1 cover, fill 24 of dome 45, or 1 frame of 36 x 28 x 2 cm"

// ParseMakes reads what a recipe yields.
//
//   - Forms: a mass; a count with a word; either `of` a mass each; `fill N of
//     MOULD`, with `around N of MOULD` or not; `N frame of L x W x H cm`.
//   - Errors: [*FormError].
func ParseMakes(s string) (*Makes, error) {
	text := spaces(s)
	mk := &Makes{Text: text}
	switch {
	case text == "":
		return nil, bad(CodeMissing, aMakes, "It does not say what the recipe makes.")
	case len(text) > longestValue:
		return nil, bad(CodeMakes, aMakes, "What the recipe makes is too long: %s.", quoted(text))
	case len(text) > 5 && strings.EqualFold(text[:5], "fill "):
		return mk, mk.fill(text[5:])
	}
	n, rest, err := readNumber(text)
	if err != nil {
		return nil, makesError(text, err)
	}
	if n.Sign() <= 0 {
		return nil, bad(CodeMakes, aMakes, "A recipe makes more than nothing: %s.", quoted(text))
	}
	word, of, hasOf := strings.Cut(rest, " of ")
	if u, ok := quantity.Metric.UnitNamed(word); ok && word != "" && isMeasure(u, word) {
		if u.Dim != quantity.Mass {
			return nil, bad(CodeUnit, "the mass, such as 1.05 kg", "%s is a %s; what a recipe makes is a mass or a count.", quoted(text), u.Dim)
		}
		if hasOf {
			return nil, bad(CodeMakes, aMakes, "A mass is all of it: %s.", quoted(text))
		}
		q := quantity.Of(n, u)
		mk.Mass = &q
		return mk, nil
	}
	mk.Count = n
	if word, err = mk.bracket(word); err != nil {
		return nil, err
	}
	if mk.Piece = singular(word); mk.Piece == "" {
		mk.Piece = "piece"
	}
	if strings.ContainsAny(mk.Piece, "0123456789,;:()") || strings.Count(mk.Piece, " ") > 3 {
		return nil, bad(CodeMakes, aMakes, "What the recipe makes cannot be read: %s.", quoted(text))
	}
	if hasOf {
		return mk, mk.of(strings.TrimSpace(of))
	}
	return mk, nil
}

func makesError(text string, err error) error {
	if form, ok := err.(*FormError); ok && form.Code != CodeNumber {
		return err
	}
	return bad(CodeMakes, aMakes, "What the recipe makes cannot be read: %s.", quoted(text))
}

// of reads what stands behind `of`: a mass each, or the sides of a frame.
func (mk *Makes) of(s string) error {
	low := strings.ToLower(strings.ReplaceAll(s, "×", "x"))
	if strings.Contains(low, "x") && !strings.HasSuffix(low, " oz") {
		return mk.frame(low)
	}
	s = strings.TrimSuffix(s, " each")
	each, err := parseQuantity(s, quantity.Metric, quantity.Mass, "20 pieces of 50 g")
	if err != nil {
		return err
	}
	if each.N.Sign() <= 0 {
		return bad(CodeMakes, aMakes, "A piece weighs more than nothing: %s.", quoted(mk.Text))
	}
	all := each.Scale(mk.Count)
	mk.Each, mk.Mass = &each, &all
	return nil
}

// bracket reads `24 pieces (1.2 kg)` and `24 pieces (50 g each)`.
func (mk *Makes) bracket(word string) (string, error) {
	word, in, ok := strings.Cut(word, "(")
	word = strings.TrimSpace(word)
	if !ok {
		return word, nil
	}
	in, ok = strings.CutSuffix(strings.TrimSpace(in), ")")
	if !ok {
		return word, bad(CodeMakes, aMakes, "The brackets do not end: %s.", quoted(mk.Text))
	}
	if each, ok := strings.CutSuffix(in, " each"); ok {
		return word, mk.of(each)
	}
	all, err := parseQuantity(in, quantity.Metric, quantity.Mass, "24 pieces (1.2 kg)")
	if err == nil && all.N.Sign() <= 0 {
		err = bad(CodeMakes, aMakes, "A recipe makes more than nothing: %s.", quoted(mk.Text))
	}
	mk.Mass = &all
	return word, err
}

// frame reads the sides of a frame into cm.
func (mk *Makes) frame(s string) error {
	const example = "1 frame of 36 x 28 x 2 cm"
	var unit quantity.Unit
	found := false
	for _, u := range []quantity.Unit{quantity.CM, quantity.MM, quantity.Inch, quantity.M} {
		if cut, ok := strings.CutSuffix(s, u.Symbol); ok && !found && cut != "" && (cut[len(cut)-1] == ' ' || cut[len(cut)-1] >= '0' && cut[len(cut)-1] <= '9') {
			s, unit, found = strings.TrimRight(cut, " "), u, true
		}
	}
	if !found {
		return bad(CodeNoUnit, example, "The unit is missing behind the sides: %s.", quoted(mk.Text))
	}
	sides := strings.Split(s, "x")
	if len(sides) != 3 {
		return bad(CodeMakes, example, "A frame has a length, a width and a height: %s.", quoted(mk.Text))
	}
	for _, side := range sides {
		n, rest, err := readNumber(strings.TrimSpace(side))
		if err == nil && (rest != "" || n.Sign() <= 0) {
			err = bad(CodeMakes, example, "A side of the frame cannot be read: %s.", quoted(mk.Text))
		}
		if err != nil {
			return err
		}
		mk.Frame = append(mk.Frame, n.Mul(unit.Factor()))
	}
	return nil
}

// fill reads what stands behind `fill`.
func (mk *Makes) fill(s string) error {
	const example = "fill 24 of dome 45, or fill 24 of dome 45 around 24 of core 25"
	outer, core, hasCore := strings.Cut(s, " around ")
	count, mould, err := cells(outer)
	if err != nil {
		return err
	}
	mk.Fill, mk.Count, mk.Mould, mk.Piece = true, count, mould, mould
	if hasCore {
		if mk.CoreCount, mk.Core, err = cells(core); err != nil {
			return err
		}
		if strings.Contains(mk.Core, " around ") {
			return bad(CodeMakes, example, "There is one core at most: %s.", quoted(mk.Text))
		}
	}
	return nil
}

// cells reads `24 of dome 45`.
func cells(s string) (quantity.Number, string, error) {
	const example = "fill 24 of dome 45"
	n, rest, err := readNumber(strings.TrimSpace(s))
	if err != nil {
		return n, "", makesError("fill "+s, err)
	}
	mould, ok := strings.CutPrefix(rest, "of ")
	mould = strings.TrimSpace(mould)
	if !ok || mould == "" || n.Sign() <= 0 || !n.IsInt() {
		return n, "", bad(CodeMakes, example, "What the recipe fills cannot be read: %s.", quoted("fill "+s))
	}
	return n, mould, nil
}

// singular writes a counted word for one of it: loaves, loaf.
func singular(s string) string {
	head, w := "", s
	if i := strings.LastIndexByte(s, ' '); i >= 0 {
		head, w = s[:i+1], s[i+1:]
	}
	low := strings.ToLower(w)
	if len(low) != len(w) {
		return s
	}
	switch low {
	case "loaves":
		return head + "loaf"
	case "leaves":
		return head + "leaf"
	case "halves":
		return head + "half"
	case "each":
		return head + "piece"
	}
	for _, end := range []string{"sses", "shes", "tches", "xes"} {
		if strings.HasSuffix(low, end) {
			return head + w[:len(w)-2]
		}
	}
	switch {
	case len(low) > 4 && strings.HasSuffix(low, "ies"):
		return head + w[:len(w)-3] + "y"
	case len(low) > 3 && strings.HasSuffix(low, "s") && !strings.HasSuffix(low, "ss") && !strings.HasSuffix(low, "us") && !strings.HasSuffix(low, "is"):
		return head + w[:len(w)-1]
	}
	return s
}
