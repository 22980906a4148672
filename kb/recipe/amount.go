package recipe

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

const anAmount = "an amount such as 120 g, 2 leaves, 2 % of flour, or to taste"

// ParseAmount reads an AMOUNT of the book, the whole of s.
//
//   - Forms: mass or volume; pieces with their mass in brackets; a range;
//     `N % of NAMES`; `N parts`; `to taste` with a start or not; `a pinch`.
//   - m sizes spoons, cups and the US or UK volumes.
//   - Errors: [*FormError].
func ParseAmount(s string, m quantity.Measure) (Amount, error) {
	text := spaces(s)
	a := Amount{Text: text}
	switch {
	case text == "":
		return a, bad(CodeMissing, anAmount, "The amount is missing.")
	case len(text) > longestValue:
		return a, bad(CodeAmount, anAmount, "The amount is too long: %s.", quoted(text))
	case !startsNumber(text):
		return a, a.words(text, m)
	}
	n, rest, err := readNumber(text)
	if err != nil {
		return a, err
	}
	a.Lo, a.Hi = n, n
	if after, ok := cutRange(rest); ok {
		if !startsNumber(after) {
			return a, bad(CodeAmount, "a range such as 3-4 g", "A number is missing behind the dash of %s.", quoted(text))
		}
		if a.Hi, rest, err = readNumber(after); err != nil {
			return a, err
		}
	}
	if err := a.unit(rest, m); err != nil {
		return a, err
	}
	if a.Hi.Less(a.Lo) {
		return a, bad(CodeAmount, "the smaller number first", "The range %s runs backwards.", quoted(text))
	}
	return a, nil
}

// cutRange drops the dash or `to` between the ends of a range.
func cutRange(s string) (after string, ok bool) {
	for _, dash := range []string{"-", "–", "—", "−", "‐", "‑", "to "} {
		if after, ok := strings.CutPrefix(s, dash); ok {
			return strings.TrimLeft(after, " "), true
		}
	}
	return s, false
}

// unit reads what follows the number or numbers of an amount.
func (a *Amount) unit(rest string, m quantity.Measure) error {
	if u, ok := shortUnit(rest); ok && u.Dim != quantity.Share {
		return a.measured(u)
	}
	if rest == "" {
		a.Kind, a.Unit = Pieces, quantity.Each
		return nil
	}
	if of, ok := strings.CutPrefix(rest, "%"); ok {
		return a.percent(strings.TrimLeft(of, " "))
	}
	switch strings.ToLower(rest) {
	case "part", "parts":
		a.Kind = Parts
		return nil
	}
	words, bracket, hasBracket := strings.Cut(rest, "(")
	words = strings.TrimRight(words, " ")
	if u, ok := m.UnitNamed(words); ok && isMeasure(u, words) {
		if hasBracket {
			return bad(CodeAmount, "the mass alone; words go into note:", "A mass or volume has no brackets: %s.", quoted(a.Text))
		}
		return a.measured(u)
	}
	if err := a.longForm(words, m); err == nil || err != errNotLong {
		return err
	}
	if err := a.piece(words); err != nil {
		return err
	}
	if hasBracket {
		return a.bracket(bracket, m)
	}
	return nil
}

// isMeasure tells a unit from a word that is one only in another language: a
// mass or volume always, of the rest what an English cook would write.
func isMeasure(u quantity.Unit, written string) bool {
	switch u.Dim {
	case quantity.Mass, quantity.Volume:
		return true
	case quantity.Count:
		return false
	}
	switch strings.ToLower(written) {
	case "s", "sec", "second", "seconds", "min", "mins", "minute", "minutes", "h", "hour", "hours", "d", "day", "days", "week", "weeks",
		"°c", "°f", "mm", "cm", "m", "in", "inch", "inches", "°bx", "kj", "kcal", "g/ml", "eur", "€", "gbp", "£", "usd", "$":
		return true
	}
	return false
}

func (a *Amount) measured(u quantity.Unit) error {
	if u.Dim != quantity.Mass && u.Dim != quantity.Volume {
		return bad(CodeUnit, anAmount, "%s is a %s, not an amount.", quoted(a.Text), u.Dim)
	}
	a.Kind, a.Unit = Measured, u
	return nil
}

var errNotLong = errors.New("not of that form")

// longForm reads what the quantities of package quantity allow beyond one
// number with one unit: "3 lb 4 oz", "900 g to 1.1 kg".
func (a *Amount) longForm(rest string, m quantity.Measure) error {
	if !strings.ContainsAny(rest, "0123456789½¼¾⅓⅔⅛⅜⅝⅞") {
		return errNotLong
	}
	if q, err := quantity.ParseQuantity(a.Text, m, quantity.Book); err == nil && a.Lo.Equal(a.Hi) && isMeasure(q.Unit, q.Unit.Symbol) {
		a.Lo, a.Hi = q.N, q.N
		return a.measured(q.Unit)
	}
	lo, hi, err := quantity.ParseRange(a.Text, m, quantity.Book)
	if err != nil || !isMeasure(lo.Unit, lo.Unit.Symbol) {
		return errNotLong
	}
	if hi, err = hi.In(lo.Unit); err != nil {
		return numberError(a.Text, err)
	}
	a.Lo, a.Hi = lo.N, hi.N
	return a.measured(lo.Unit)
}

// percent reads the names behind `%`.
func (a *Amount) percent(rest string) error {
	if len(rest) < 3 || !strings.EqualFold(rest[:3], "of ") {
		return bad(CodeAmount, writeNumber(a.Lo)+" % of NAME, such as 2 % of flour", "It does not say of what: %s.", quoted(a.Text))
	}
	for n := range strings.SplitSeq(rest[3:], "+") {
		n = strings.TrimSpace(n)
		if n == "" {
			return bad(CodeAmount, "2 % of flour + rye flour", "A name is missing beside the +: %s.", quoted(a.Text))
		}
		a.Of = append(a.Of, n)
	}
	if len(a.Of) == 1 && name.Fold(a.Of[0]) == "liquid" {
		a.Of[0] = "liquids"
	}
	a.Kind = PercentOf
	return nil
}

// piece reads the word behind a count.
func (a *Amount) piece(words string) error {
	if i := strings.IndexAny(words, ",;:"); i >= 0 {
		amount := a.Text[:max(0, strings.Index(a.Text, words))+i]
		return bad(CodeAmount, "{amount: "+strings.TrimSpace(amount)+", prep: …}", "Words behind the amount have their own key: %s.", quoted(a.Text))
	}
	first, more, _ := strings.Cut(words, " ")
	odd := func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.Is(unicode.M, r) && !strings.ContainsRune(" -'’.&", r)
	}
	r, _ := utf8.DecodeRuneInString(words)
	if words != "" && !unicode.IsLetter(r) || strings.ContainsFunc(words, odd) || strings.Count(words, " ") > 3 {
		return bad(CodeAmount, anAmount, "The amount cannot be read: %s.", quoted(a.Text))
	}
	if u, ok := quantity.Metric.UnitNamed(first); ok && more != "" && isMeasure(u, first) || more != "" && (first == "part" || first == "parts") {
		return bad(CodeAmount, "{amount: "+strings.TrimSpace(strings.TrimSuffix(a.Text, more))+", note: "+more+"}", "Words behind the amount have their own key: %s.", quoted(a.Text))
	}
	a.Kind, a.Piece, a.Unit = Pieces, words, quantity.Pieces(words)
	return nil
}

// bracket reads the mass in the brackets behind a count; s is what follows `(`.
func (a *Amount) bracket(s string, m quantity.Measure) error {
	const example = "5 dots (2 g each), or 2 leaves (4 g) for all of them"
	inner, ok := strings.CutSuffix(s, ")")
	if !ok || strings.ContainsAny(inner, "()") {
		return bad(CodeAmount, example, "The brackets do not end the amount: %s.", quoted(a.Text))
	}
	inner, a.Each = strings.CutSuffix(strings.TrimRight(inner, " "), " each")
	in, err := ParseAmount(inner, m)
	switch {
	case err != nil:
		return err
	case in.Kind != Measured || in.Unit.Dim != quantity.Mass:
		return bad(CodeUnit, example, "In the brackets stands a mass, not %s.", quoted(inner))
	}
	q := quantity.Of(in.Middle(), in.Unit)
	a.Mass = &q
	return nil
}

// words reads an amount that does not begin with a number.
func (a *Amount) words(text string, m quantity.Measure) error {
	const toTaste = "to taste"
	if len(text) >= len(toTaste) && strings.EqualFold(text[:len(toTaste)], toTaste) {
		return a.toTaste(text[len(toTaste):], m)
	}
	low := strings.ToLower(text)
	if low == "pinch" {
		a.Kind = Pinch
		return nil
	}
	for _, about := range []string{"~", "≈", "about ", "around ", "approx. ", "approx ", "ca. ", "ca ", "circa ", "c. "} {
		if rest, ok := strings.CutPrefix(low, about); ok {
			return bad(CodeAmount, strings.TrimSpace(rest)+", or a range such as 3-4 g", "An amount is a number or a range: %s.", quoted(text))
		}
	}
	first, more, _ := strings.Cut(low, " ")
	vague := (first == "a" || first == "an" || first == "some") && more != "" && !strings.ContainsAny(low, "0123456789,;:()")
	if q, err := quantity.ParseQuantity(low, m, quantity.Chat); err == nil && q.N.Sign() >= 0 { // "two kilos", "a litre"
		return bad(CodeAmount, quantity.Of(q.N, q.Unit).String(), "A number in words is not read in a book: %s.", quoted(text))
	}
	if n, length, err := quantity.ReadNumber(low, quantity.Chat); err == nil {
		return bad(CodeAmount, strings.TrimSpace(writeNumber(n)+" "+strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(low[min(length, len(low)):]), "of "))),
			"A number in words is not read in a book: %s.", quoted(text))
	}
	if vague && strings.Count(more, " ") < 5 {
		a.Kind = Pinch
		return nil
	}
	return bad(CodeAmount, anAmount, "The amount cannot be read: %s.", quoted(text))
}

// toTaste reads what may follow `to taste`.
func (a *Amount) toTaste(rest string, m quantity.Measure) error {
	a.Kind = ToTaste
	rest = strings.TrimLeft(rest, " ,;")
	if rest == "" {
		return nil
	}
	const example = "to taste, start 10 g"
	start, ok := strings.CutPrefix(rest, "start ")
	if !ok {
		return bad(CodeAmount, example, "Behind “to taste” stands where to start: %s.", quoted(a.Text))
	}
	s, err := ParseAmount(start, m)
	if err != nil {
		return err
	}
	if s.Kind == ToTaste || s.Kind == Pinch {
		return bad(CodeAmount, example, "The start is an amount: %s.", quoted(a.Text))
	}
	a.Start = &s
	return nil
}

// Written writes a in the book's form: ParseAmount reads the same amount back.
func (a Amount) Written() string {
	n := writeNumber(a.Lo)
	if a.IsRange() {
		n += "-" + writeNumber(a.Hi)
		if strings.Contains(n, "/") {
			n = writeNumber(a.Lo) + " to " + writeNumber(a.Hi)
		}
	}
	switch a.Kind {
	case Measured:
		return n + " " + writtenSymbol(a.Unit, a.Hi)
	case Pieces:
		if a.Piece != "" {
			n += " " + a.Piece
		}
		if a.Mass != nil {
			n += " (" + writeNumber(a.Mass.N) + " " + writtenSymbol(a.Mass.Unit, a.Mass.N)
			if a.Each {
				n += " each"
			}
			n += ")"
		}
		return n
	case PercentOf:
		return n + " % of " + strings.Join(a.Of, " + ")
	case Parts:
		if a.Hi.Equal(quantity.Int(1)) {
			return n + " part"
		}
		return n + " parts"
	case ToTaste:
		if a.Start != nil {
			return "to taste, start " + a.Start.Written()
		}
		return "to taste"
	case Pinch:
		if a.Text == "" {
			return "a pinch"
		}
		return a.Text
	}
	return ""
}

// writtenSymbol is the unit's symbol, in the singular up to one: 1 cup.
func writtenSymbol(u quantity.Unit, n quantity.Number) string {
	if u.Dim == quantity.Volume && len(u.Symbol) > 3 && n.Cmp(quantity.Int(1)) <= 0 {
		return strings.TrimSuffix(u.Symbol, "s")
	}
	return u.Symbol
}
