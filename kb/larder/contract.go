package larder

import (
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
	"tamis/kb/yamldoc"
)

// Allergens returns the 14 allergen names of book-format in the order of annex II
// of Regulation (EU) No 1169/2011.
func Allergens() []string {
	return []string{
		"cereals containing gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "nuts", "celery", "mustard",
		"sesame", "sulphites", "lupin", "molluscs",
	}
}

// allergen reads "nuts (walnut)"; a name that is none of the 14 gives the zero
// Allergen and what to write.
func allergen(s string) (recipe.Allergen, string) {
	base, kind := strings.TrimSpace(s), ""
	if i := strings.IndexByte(base, '('); i >= 0 && strings.HasSuffix(base, ")") {
		base, kind = strings.TrimSpace(base[:i]), strings.TrimSpace(base[i+1:len(base)-1])
	}
	for _, a := range Allergens() {
		if strings.EqualFold(a, base) {
			return recipe.Allergen{Name: a, Kind: kind}, ""
		}
	}
	if near := yamldoc.Nearest(base, Allergens()); near != "" {
		return recipe.Allergen{}, near
	}
	return recipe.Allergen{}, "one of: " + strings.Join(Allergens(), ", ")
}

var times = map[string]quantity.Unit{
	"s": quantity.Second, "min": quantity.Minute, "h": quantity.Hour, "hour": quantity.Hour, "hours": quantity.Hour,
	"d": quantity.Day, "day": quantity.Day, "days": quantity.Day, "week": quantity.Week, "weeks": quantity.Week,
}

// keep reads "7 days in fridge", "24 h in fridge after thaw", or words.
func keep(s string) (recipe.Keep, error) {
	k := recipe.Keep{Text: s}
	if s == "" || s[0] < '0' || s[0] > '9' {
		return k, nil
	}
	n, rest, err := number(s)
	if err != nil {
		return k, err
	}
	word, rest, _ := strings.Cut(rest, " ")
	u, ok := times[word]
	if !ok {
		return k, wrong("unknown unit", "a time and a place, such as 7 days in fridge", "%q does not begin with a time.", short(s))
	}
	q := quantity.Of(n, u)
	k.Time = &q
	rest = " " + strings.TrimSpace(rest)
	if i := strings.LastIndex(rest, " after "); i >= 0 {
		k.After = strings.TrimSpace(rest[i+len(" after "):])
		rest = rest[:i]
	}
	if w, ok := strings.CutPrefix(rest, " in "); ok {
		k.Where = strings.TrimSpace(w)
	} else {
		k.Where = strings.TrimSpace(rest)
	}
	return k, nil
}
