package bot

import (
	"regexp"
	"strings"

	"tamis/bot/answer"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/larder"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// larderEdit is a value of an ingredient as somebody said it.
type larderEdit struct {
	ingredient string // as the larder names it
	path       []string
	value      string
}

const larderPath = "larder.yaml"

var (
	larderSet   = regexp.MustCompile(`(?is)^(?:set|put|change|update|correct) (?:the )?(.+?) (?:to|at) (.+)$`)
	larderIs    = regexp.MustCompile(`(?is)^(?:the |our )?(.+?) (?:is|are|has|reads|measures|costs?|comes at|is at) (?:now )?(?:at )?(.+)$`)
	larderKeyOf = regexp.MustCompile(`(?is)^(?:the )?(brix|bloom|density|price|cost|costs|usable|yield|weight|piece|fat|milk fat|sugars?|protein|water|starch|salt|acid|alcohol|fibre) (?:of|for|in) (?:the |our )?(.+)$`)
	moneyPer    = regexp.MustCompile(`(?i)^([0-9]+(?:[.,][0-9]{1,2})?) ?(€|eur|euros?|[A-Z]{3}|£|\$)(?: ?(?:/|per|a|the) ?([0-9]* ?[a-z]+))$`)
	perCentOf   = regexp.MustCompile(`(?i)^([0-9]+(?:[.,][0-9]+)?) ?% (fat|milk fat|sugars?|protein|water|starch|salt|acid|alcohol|fibre)$`)
)

// larderOrder reads "set pear puree to 11 brix", "cream costs 6.20 EUR/kg now".
func (k *Asker) larderOrder(b *answer.Book, bare string, firm bool) (o order, ok bool) {
	what, value := "", ""
	if f := larderSet.FindStringSubmatch(bare); f != nil {
		what, value = f[1], f[2]
	} else if f := larderIs.FindStringSubmatch(bare); f != nil && firm {
		what, value = f[1], f[2]
	} else {
		return o, false
	}
	key := ""
	if f := larderKeyOf.FindStringSubmatch(what); f != nil {
		key, what = strings.ToLower(f[1]), f[2]
	}
	it := b.Snap.Larder.Find(strings.TrimPrefix(strings.TrimSpace(what), "the "))
	if it == nil {
		return o, false
	}
	if _, is := b.Snap.RecipeNamed(what); is { // the house makes it: its recipe says what it holds
		return o, false
	}
	path, text, ok := larderValue(b, key, strings.TrimSpace(value))
	if !ok {
		return o, false
	}
	o.larder = larderEdit{ingredient: it.Name, path: path, value: text}
	return o, true
}

// larderValue is a value as larder.yaml writes it, and the key it stands under.
func larderValue(b *answer.Book, key, value string) (path []string, text string, ok bool) {
	if f := moneyPer.FindStringSubmatch(value); f != nil && (key == "" || key == "price" || strings.HasPrefix(key, "cost")) {
		money := strings.ToUpper(f[2])
		switch money {
		case "€", "EURO", "EUROS":
			money = "EUR"
		case "£":
			money = "GBP"
		case "$":
			money = "USD"
		}
		return []string{"costs"}, strings.Replace(f[1], ",", ".", 1) + " " + money + "/" + strings.TrimSpace(f[3]), true
	}
	if f := perCentOf.FindStringSubmatch(value); f != nil && key == "" {
		key, value = strings.ToLower(f[2]), f[1]+" %"
	}
	lower := strings.ToLower(value)
	n, length, err := quantity.ReadNumber(lower, quantity.Book)
	if err != nil || n.Sign() < 0 {
		return nil, "", false
	}
	unit := strings.Join(strings.Fields(lower[min(length, len(lower)):]), " ")
	switch {
	case (unit == "brix" || unit == "°bx" || unit == "bx" || unit == "° brix" || unit == "degrees brix") && (key == "" || key == "brix"), unit == "" && key == "brix":
		return []string{"brix"}, n.String(), true
	case unit == "bloom" && (key == "" || key == "bloom"), unit == "" && key == "bloom":
		return []string{"bloom"}, n.String(), true
	case unit == "g/ml" && (key == "" || key == "density"):
		return []string{"density"}, n.String() + " g/ml", true
	case unit == "%" && (key == "usable" || key == "yield"):
		return []string{"usable"}, n.String() + " %", true
	case (unit == "g" || unit == "g each" || unit == "g apiece") && (key == "piece" || key == "weight" || unit != "g"):
		return []string{"piece"}, n.String() + " g", true
	}
	if key == "sugar" {
		key = "sugars"
	}
	if _, is := mix.KeyNamed(key); is && (unit == "%" || unit == "g per 100 g") {
		return []string{"per 100 g", key}, n.String(), true
	}
	return nil, "", false
}

// edited is larder.yaml with the value in it; all else of it stays.
func (e larderEdit) edited(source func(path string) (string, bool)) ([]store.FileChange, error) {
	text, _ := source(larderPath)
	entry := "- ingredient: " + e.ingredient + "\n  " + e.path[0] + ": "
	if len(e.path) == 2 {
		entry += "{" + e.path[1] + ": " + e.value + "}\n"
	} else {
		entry += e.value + "\n"
	}
	if strings.TrimSpace(text) == "" {
		return []store.FileChange{{Path: larderPath, Content: entry}}, nil
	}
	t, err := recipe.NewText([]byte(text))
	if err == nil {
		err = t.SetLarder(e.ingredient, e.path, e.value)
	}
	if err != nil {
		items, _ := larder.Parse(larderPath, []byte(text))
		if len(items) > 0 { // there is an entry, or a list that it does not fit into
			return nil, err
		}
		now, perr := larder.Put([]byte(text), []byte(entry))
		if perr != nil {
			return nil, err
		}
		return []store.FileChange{{Path: larderPath, Content: string(now)}}, nil
	}
	return []store.FileChange{{Path: larderPath, Content: string(t.Bytes())}}, nil
}
