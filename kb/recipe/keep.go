package recipe

import (
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/yamldoc"
)

// ParseKeep reads one entry of `keeps:`: `14 days in freezer`, `24 h in fridge
// after thaw`, or words such as `never refreeze`.
//
//   - A month counts as 30 days and a year as 365; Text keeps the cook's words.
//   - Errors: [*FormError].
func ParseKeep(s string) (Keep, error) {
	text := spaces(s)
	k := Keep{Text: text}
	if text == "" {
		return k, bad(CodeMissing, "14 days in freezer", "It does not say how long it keeps.")
	}
	if !startsNumber(text) {
		return k, nil
	}
	// The words that end the time, wherever they stand.
	end := len(text)
	for _, w := range []string{" in ", " at ", " after ", " once "} {
		if i := strings.Index(text, w); i >= 0 {
			end = min(end, i)
		}
	}
	q, err := parseKeepTime(text[:end])
	if err != nil {
		if form, ok := err.(*FormError); ok && form.Write == aSpan {
			form.Write = "14 days in freezer, or 24 h in fridge after thaw"
		}
		return k, err
	}
	k.Time = &q
	rest := text[end:]
	for rest != "" {
		into, next := &k.Where, rest
		for _, w := range []string{" in ", " at "} {
			next = strings.TrimPrefix(next, w)
		}
		for _, w := range []string{" after ", " once "} {
			if cut, ok := strings.CutPrefix(rest, w); ok {
				into, next = &k.After, cut
			}
		}
		stop := len(next)
		for _, w := range []string{" in ", " after "} {
			if i := strings.Index(next, w); i >= 0 {
				stop = min(stop, i)
			}
		}
		if *into != "" || stop == 0 {
			return k, bad(CodeTime, "14 days in freezer, or 24 h in fridge after thaw", "How long it keeps cannot be read: %s.", quoted(text))
		}
		*into = strings.TrimPrefix(strings.TrimSpace(next[:stop]), "the ")
		rest = next[stop:]
	}
	return k, nil
}

// parseKeepTime is parseTime with months and years.
func parseKeepTime(s string) (quantity.Quantity, error) {
	if n, rest, err := readNumber(s); err == nil {
		switch strings.ToLower(strings.TrimSpace(rest)) {
		case "month", "months":
			return quantity.Of(n.Mul(quantity.Int(30)), quantity.Day), nil
		case "year", "years":
			return quantity.Of(n.Mul(quantity.Int(365)), quantity.Day), nil
		}
	}
	return parseTime(s)
}

var months = [...]string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

var fullMonths = [...]string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

var monthDays = [...]int{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// ParseSeason reads `1 Sep to 30 Nov`; it may run over new year.
//
//   - Errors: [*FormError].
func ParseSeason(s string) (*Season, error) {
	text := spaces(s)
	season := &Season{Text: text}
	from, to, ok := strings.Cut(text, " to ")
	if ok {
		season.FromDay, season.FromMonth, ok = dayOfYear(from)
	}
	if ok {
		season.ToDay, season.ToMonth, ok = dayOfYear(to)
	}
	if !ok {
		return nil, bad(CodeSeason, "1 Sep to 30 Nov", "The season cannot be read: %s.", quoted(text))
	}
	return season, nil
}

func dayOfYear(s string) (day, month int, ok bool) {
	d, m, _ := strings.Cut(strings.TrimSpace(s), " ")
	m = strings.ToLower(strings.TrimSuffix(strings.TrimSpace(m), "."))
	for i := range months {
		if m == months[i] || m == fullMonths[i] || m == "sept" && i == 8 {
			month = i + 1
		}
	}
	day, ok = twoDigits(d)
	if !ok || month == 0 || len(d) > 2 || day < 1 || day > monthDays[month-1] {
		return 0, 0, false
	}
	return day, month, true
}

// Allergens returns the 14 allergen names of the book, in the order of annex II
// of Regulation (EU) No 1169/2011.
func Allergens() []string { return append([]string(nil), allergens[:]...) }

var allergens = [...]string{
	"cereals containing gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk",
	"nuts", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
}

// meant leads from kitchen words to the name that the book has for them.
var meant = map[string]string{
	"gluten": "cereals containing gluten", "wheat": "cereals containing gluten (wheat)", "rye": "cereals containing gluten (rye)",
	"barley": "cereals containing gluten (barley)", "oat": "cereals containing gluten (oats)", "spelt": "cereals containing gluten (spelt)",
	"flour": "cereals containing gluten (wheat)", "shellfish": "crustaceans, or molluscs", "crab": "crustaceans (crab)", "prawn": "crustaceans (prawn)",
	"shrimp": "crustaceans (shrimp)", "lobster": "crustaceans (lobster)", "soy": "soybeans", "soya": "soybeans", "dairy": "milk", "lactose": "milk",
	"butter": "milk", "cream": "milk", "tree nut": "nuts", "almond": "nuts (almond)", "hazelnut": "nuts (hazelnut)", "walnut": "nuts (walnut)",
	"pecan": "nuts (pecan)", "pistachio": "nuts (pistachio)", "cashew": "nuts (cashew)", "brazil nut": "nuts (brazil nut)", "macadamia": "nuts (macadamia)",
	"celeriac": "celery", "sulfite": "sulphites", "sulphur dioxide": "sulphites", "sulfur dioxide": "sulphites", "lupine": "lupin",
	"mussel": "molluscs (mussel)", "oyster": "molluscs (oyster)", "squid": "molluscs (squid)", "mollusk": "molluscs",
}

// ParseAllergen reads one of the 14 names, with a kind in brackets or not:
// nuts (walnut). Case and plural do not matter; the name comes back as the book
// has it.
//
//   - Errors: [*FormError] with the name that is nearest.
func ParseAllergen(s string) (Allergen, error) {
	text := spaces(s)
	base, kind, hasKind := strings.Cut(text, "(")
	base = strings.TrimSpace(base)
	if hasKind {
		var ok bool
		if kind, ok = strings.CutSuffix(kind, ")"); !ok || strings.TrimSpace(kind) == "" || strings.ContainsAny(kind, "()") {
			return Allergen{}, bad(CodeAllergen, "nuts (walnut)", "The kind in brackets cannot be read: %s.", quoted(text))
		}
	}
	for _, a := range allergens {
		if a == base {
			return Allergen{a, strings.TrimSpace(kind)}, nil
		}
	}
	fold := name.Fold(base)
	for _, a := range allergens {
		if fold != "" && name.Fold(a) == fold {
			return Allergen{a, strings.TrimSpace(kind)}, nil
		}
	}
	write := "one of: " + strings.Join(allergens[:], ", ")
	if m, ok := meant[fold]; ok {
		write = m
	} else if near := yamldoc.Nearest(base, allergens[:]); near != "" {
		write = near
	}
	return Allergen{}, bad(CodeAllergen, write, "%s is none of the allergen names.", quoted(text))
}
