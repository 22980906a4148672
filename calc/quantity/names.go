package quantity

import "strings"

// The kitchen measures: volumes whose size depends on the house or the country.
const (
	tsp = iota + 1
	tbsp
	cup
	flOz
	pint
	quart
	gallon
)

var measureSymbols = [...]string{tsp: "tsp", tbsp: "tbsp", cup: "cups", flOz: "fl oz", pint: "pints", quart: "quarts", gallon: "gallons"}

// measureSizes gives ml. The US ones follow from the gallon of 231 cubic
// inches, the UK ones from the gallon of 4.54609 l; the spoons and the cup of
// the metric row are those of 21 CFR 101.9(b)(5)(viii).
var measureSizes = [...][gallon + 1]Number{
	Metric:     {tsp: Int(5), tbsp: Int(15), cup: Int(240), flOz: usFlOz, pint: usPint, quart: usQuart, gallon: usGallon},
	US:         {tsp: MustDecimal("4.92892159375"), tbsp: MustDecimal("14.78676478125"), cup: MustDecimal("236.5882365"), flOz: usFlOz, pint: usPint, quart: usQuart, gallon: usGallon},
	Australian: {tsp: Int(5), tbsp: Int(20), cup: Int(250), flOz: usFlOz, pint: usPint, quart: usQuart, gallon: usGallon},
	UK:         {tsp: Int(5), tbsp: Int(15), cup: Int(240), flOz: MustDecimal("28.4130625"), pint: MustDecimal("568.26125"), quart: MustDecimal("1136.5225"), gallon: MustDecimal("4546.09")},
}

var (
	usFlOz   = MustDecimal("29.5735295625")
	usPint   = MustDecimal("473.176473")
	usQuart  = MustDecimal("946.352946")
	usGallon = MustDecimal("3785.411784")
)

// vessel returns the unit of a kitchen measure under m.
func (m Measure) vessel(v int) Unit {
	if m > UK {
		m = Metric
	}
	return Unit{Symbol: measureSymbols[v], Dim: Volume, factor: measureSizes[m][v]}
}

// name is what a written unit stands for.
type name struct {
	unit   Unit
	vessel int  // a kitchen measure, if not 0
	weak   bool // also a common word or a bare letter
}

// named lists the written units, folded, words parted by one space.
var named = func() map[string]name {
	m := map[string]name{}
	put := func(u Unit, words string) {
		for _, w := range strings.Split(words, ",") {
			m[strings.TrimSpace(w)] = name{unit: u}
		}
	}
	vessel := func(v int, words string) {
		for _, w := range strings.Split(words, ",") {
			m[strings.TrimSpace(w)] = name{vessel: v}
		}
	}
	put(G, "g, gr, grs, grm, grms, gm, gms, gram, grams, gramme, grammes, gramm, gramo, gramos, grammo, grammi, grama, gramas")
	put(KG, `kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes, kilogramm, kilogramo, kilogramos,
		chilo, chilogrammo, chilogrammi, quilo, quilos, quilograma, quilogramas`)
	put(MG, "mg, milligram, milligrams, milligramme, milligrammes, milligramm, miligramo, miligramos, milligrammo, milligrammi, miligrama, miligramas")
	put(OZ, "oz, ozs, ounce, ounces")
	put(LB, "lb, lbs, pound, pounds")
	put(ML, "ml, mls, millilitre, millilitres, milliliter, milliliters, mililitro, mililitros, millilitro, millilitri")
	put(CL, "cl, cls, centilitre, centilitres, centiliter, centiliters, centilitro, centilitros, centilitri")
	put(DL, "dl, dls, decilitre, decilitres, deciliter, deciliters, deziliter, decilitro, decilitros, decilitri")
	put(L, "l, lt, ltr, ltrs, litre, litres, liter, liters, litro, litros, litri")
	put(Second, "s, sec, secs, second, seconds, seconde, secondes, sekunde, sekunden, segundo, segundos, secondo, secondi")
	put(Minute, "min, mins, minute, minutes, minuten, minuto, minutos, minuti, mn")
	put(Hour, "h, hr, hrs, hour, hours, heure, heures, stunde, stunden, std, hora, horas, ora, ore")
	put(Day, "d, day, days, jour, jours, tag, tage, tagen, dia, dias, giorno, giorni")
	put(Week, "week, weeks, wk, wks, semaine, semaines, woche, wochen, semana, semanas, settimana, settimane")
	put(Celsius, "° c, ℃, celsius, centigrade, ° celsius, deg c, degs c, degree c, degrees c, degree celsius, degrees celsius, deg celsius, degree centigrade, degrees centigrade, grad celsius, degre celsius, degres celsius, grados celsius, gradi celsius, graus celsius")
	put(Fahrenheit, "° f, ℉, fahrenheit, ° fahrenheit, deg f, degs f, degree f, degrees f, degree fahrenheit, degrees fahrenheit, deg fahrenheit, grad fahrenheit, degres fahrenheit, grados fahrenheit, gradi fahrenheit, graus fahrenheit")
	put(MM, "mm, millimetre, millimetres, millimeter, millimeters, milimetro, milimetros, millimetro, millimetri")
	put(CM, "cm, cms, centimetre, centimetres, centimeter, centimeters, zentimeter, centimetro, centimetros, centimetri")
	put(M, "m, metre, metres, meter, meters, metro, metros, metri")
	put(Inch, "in, inch, inches, ″")
	put(Each, "each, ea, piece, pieces, pc, pcs, pce, pces")
	put(Percent, "%, percent, per cent, pct, prozent, pour cent, por ciento, per cento, por cento")
	put(BrixDegree, "° bx, bx, brix, ° brix, degree brix, degrees brix, deg brix")
	put(KJ, "kj, kilojoule, kilojoules")
	put(KCal, "kcal, kcals, kilocalorie, kilocalories")
	put(GPerML, "g / ml, g / cm3, g / cc, g per ml, kg / l, kg per l, kg per litre, kg per liter, g / cm³, kg / litre, kg / liter, grams per ml")
	for _, code := range strings.Fields("EUR GBP USD NOK SEK DKK ISK CHF JPY AUD NZD CAD PLN CZK HUF ZAR INR CNY HKD SGD BRL MXN ILS KRW THB") {
		put(Currency(code), strings.ToLower(code))
	}
	put(Currency("EUR"), "€, euro, euros")
	put(Currency("GBP"), "£")
	put(Unit{Symbol: "metric cups", Dim: Volume, factor: Int(250)}, "metric cup, metric cups")
	put(Unit{Symbol: "Japanese cups", Dim: Volume, factor: Int(200)}, "japanese cup, japanese cups")

	vessel(tsp, `tsp, tsps, teaspoon, teaspoons, teaspoonful, teaspoonfuls, tl, teeloffel,
		cuillere a cafe, cuilleres a cafe, cuilleree a cafe, cuillerees a cafe, c a cafe, c a c, cac,
		cucharadita, cucharaditas, cdta, cdtas, cucchiaino, cucchiaini, colher de cha, colheres de cha, teskje, teskjeer`)
	vessel(tbsp, `tbsp, tbsps, tbs, tblsp, tablespoon, tablespoons, tablespoonful, tablespoonfuls, el, essloffel,
		cuillere a soupe, cuilleres a soupe, cuilleree a soupe, cuillerees a soupe, c a soupe, c a s, cas,
		cucharada, cucharadas, cda, cdas, cucchiaio, cucchiai, colher de sopa, colheres de sopa, spiseskje, spiseskjeer`)
	vessel(cup, "cup, cups, cupful, cupfuls")
	vessel(flOz, "fl oz, fl ozs, floz, fluid oz, fluid ounce, fluid ounces")
	vessel(pint, "pint, pints, pt, pts")
	vessel(quart, "quart, quarts, qt, qts")
	vessel(gallon, "gallon, gallons, gal, gals")
	for _, w := range strings.Fields("m d s in el tag dia ora ore cas std second") {
		n := m[w]
		n.weak = true
		m[w] = n
	}
	return m
}()

// firstWords holds the first words of the written units of several words.
var firstWords = func() map[string]bool {
	m := map[string]bool{}
	for k := range named {
		if first, _, more := strings.Cut(k, " "); more {
			m[first] = true
		}
	}
	return m
}()

// qualifiers say whose pint or cup is meant.
var qualifiers = map[string]struct {
	m    Measure
	from int // first kitchen measure it may stand before
	word string
}{
	"us": {US, tsp, "US"}, "uk": {UK, tsp, "UK"}, "imperial": {UK, flOz, "UK"}, "imp": {UK, flOz, "UK"},
	"british": {UK, flOz, "UK"}, "american": {US, tsp, "US"}, "australian": {Australian, tsp, "Australian"},
}

// UnitNamed returns the unit that s writes, in any case, with or without
// accents, as a symbol, an abbreviation or a word of one of six languages.
// Spoons, cups and the US or UK volumes are those of m unless s says whose
// ("UK pint").
//
//   - Sizes in ml: teaspoon, tablespoon, cup: Metric and UK 5, 15, 240;
//     US 4.92892159375, 14.78676478125, 236.5882365; Australian 5, 20, 250.
//     Fluid ounce, pint, quart, gallon: 28.4130625, 568.26125, 1136.5225,
//     4546.09 under UK, else 29.5735295625, 473.176473, 946.352946, 3785.411784.
//     The US and UK sizes are exact; a house book prints them rounded.
//   - A bare C or F is no unit here: see [TemperatureUnit].
//   - Source: NIST SP 811 (2008) appendix B, from memory; the labelling measures
//     21 CFR 101.9(b)(5)(viii), see testdata/units.csv.
func (m Measure) UnitNamed(s string) (Unit, bool) {
	if len(s) > 60 {
		return Unit{}, false
	}
	toks := trim(lex(s, 16))
	u, ok := m.unitAt(toks, 0)
	if !ok || skipDot(toks, u.end) != len(toks) {
		return Unit{}, false
	}
	return u.unit, true
}

// TemperatureUnit returns the temperature unit that s writes where only a
// temperature can stand: also by the bare letters C and F.
func TemperatureUnit(s string) (Unit, bool) {
	switch fold(strings.TrimSpace(s)) {
	case "c":
		return Celsius, true
	case "f":
		return Fahrenheit, true
	}
	u, ok := Metric.UnitNamed(s)
	if !ok || u.Dim != Temperature {
		return Unit{}, false
	}
	return u, true
}

// foundUnit is a unit in a text.
type foundUnit struct {
	unit  Unit
	end   int // the token after it
	weak  bool
	glued bool // a letter or digit follows at once: "m" in "m3" is no metre
}

// unitAt finds the longest written unit that starts at toks[i].
func (m Measure) unitAt(toks []token, i int) (foundUnit, bool) {
	if i >= len(toks) || (toks[i].kind != letter && toks[i].kind != symbol) {
		return foundUnit{}, false
	}
	if q, ok := qualifiers[toks[i].text]; ok {
		j := skipSpace(toks, skipDot(toks, i+1))
		if f, v, ok := q.m.nameAt(toks, j); ok && v >= q.from {
			f.unit.Symbol, f.weak = q.word+" "+f.unit.Symbol, false
			return f, true
		}
	}
	f, _, ok := m.nameAt(toks, i)
	return f, ok
}

// nameAt is unitAt without the words that say whose measure is meant.
func (m Measure) nameAt(toks []token, i int) (best foundUnit, vessel int, found bool) {
	if i >= len(toks) || (toks[i].kind != letter && toks[i].kind != symbol) {
		return
	}
	key := toks[i].text
	more := firstWords[key]
	for k, words := i+1, 1; ; words++ {
		if n, ok := named[key]; ok {
			found, vessel = true, n.vessel
			best = foundUnit{n.unit, k, n.weak, glued(toks, k)}
			if n.vessel > 0 {
				best.unit = m.vessel(n.vessel)
			}
		}
		if !more || words == 5 {
			return
		}
		k = skipSpace(toks, skipDot(toks, k))
		if k >= len(toks) || (toks[k].kind != letter && toks[k].kind != symbol) {
			return
		}
		key += " " + toks[k].text
		k++
		if k < len(toks) && toks[k].text == "3" && toks[k-1].text == "cm" { // g/cm3
			key += "3"
			k++
		}
	}
}

func glued(toks []token, k int) bool {
	return k < len(toks) && k > 0 && toks[k-1].kind == letter && (toks[k].kind == digits || toks[k].kind == letter)
}

func skipSpace(toks []token, i int) int {
	if i < len(toks) && toks[i].kind == space {
		return i + 1
	}
	return i
}

func skipDot(toks []token, i int) int {
	if i < len(toks) && toks[i].text == "." {
		return i + 1
	}
	return i
}

func trim(toks []token) []token {
	for len(toks) > 0 && toks[0].kind == space {
		toks = toks[1:]
	}
	for len(toks) > 0 && toks[len(toks)-1].kind == space {
		toks = toks[:len(toks)-1]
	}
	return toks
}
