package spoil

import "math/rand/v2"

// Number words by language. Articles that are also "one" are left out, for they
// may stand: un, une, una, uno, ein, eine, um, uma.
var numbers = map[string][]string{
	"en": {
		"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fifteen", "nineteen", "twenty", "twenty-one",
		"thirty", "forty", "fourty", "fifty", "sixty", "seventy", "eighty", "ninety", "a hundred", "one hundred and five", "a thousand", "two thousand", "a million", "zero", "nil", "nought", "oh five",
		"Three", "TWELVE", "twentytwo", "ninety nine", "five hundred", "umpteen", "naught",
	},
	"fr": {
		"deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf", "dix", "onze", "douze", "treize", "seize", "dix-sept", "vingt", "vingt et un", "trente", "quarante", "soixante",
		"soixante-dix", "quatre-vingts", "quatre-vingt-dix", "septante", "nonante", "cent", "deux cents", "mille", "zéro", "un million", "Trois", "VINGT", "vingt-trois",
	},
	"es": {
		"dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve", "diez", "once", "doce", "quince", "dieciséis", "veinte", "veintitrés", "treinta", "treinta y dos", "cuarenta",
		"cincuenta", "sesenta", "noventa", "cien", "ciento", "doscientos", "quinientas", "mil", "cero", "Tres", "DIEZ", "dieciseis",
	},
	"it": {
		"due", "tre", "quattro", "cinque", "sei", "sette", "otto", "nove", "dieci", "undici", "dodici", "quindici", "diciassette", "venti", "ventuno", "ventitré", "trenta", "quaranta",
		"cinquanta", "sessanta", "novanta", "cento", "duecento", "mille", "duemila", "zero", "Tre", "DIECI", "centocinquanta", "ventitre",
	},
	"de": {
		"eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwölf", "dreizehn", "sechzehn", "zwanzig", "einundzwanzig", "dreißig", "vierzig",
		"fünfzig", "neunzig", "hundert", "zweihundert", "tausend", "dreihundertfünfzig", "null", "zwo", "Drei", "ZWÖLF", "fuenf", "zwoelf", "dreissig", "fünfundvierzig",
	},
	"pt": {
		"dois", "duas", "três", "quatro", "cinco", "seis", "sete", "oito", "nove", "dez", "onze", "doze", "quinze", "dezasseis", "dezesseis", "vinte", "vinte e três", "trinta", "quarenta",
		"cinquenta", "sessenta", "noventa", "cem", "cento", "duzentos", "quinhentas", "mil", "zero", "Três", "DEZ", "tres", "catorze",
	},
}

var multiples = map[string][]string{
	"en": {"half", "half of", "double", "twice", "triple", "thrice", "treble", "quadruple", "a third of", "a quarter of", "two thirds of", "three quarters of", "one and a half times", "half again", "tenfold", "once", "twofold", "a fifth of", "a tenth of", "halve", "doubled"},
	"fr": {"la moitié de", "le double de", "le triple de", "deux fois", "un tiers de", "un quart de", "trois quarts de", "demi", "une demie", "le quadruple de"},
	"es": {"la mitad de", "el doble de", "el triple de", "dos veces", "un tercio de", "un cuarto de", "medio", "media", "la tercera parte de", "tres cuartos de"},
	"it": {"la metà di", "il doppio di", "il triplo di", "due volte", "un terzo di", "un quarto di", "mezzo", "mezza", "tre quarti di", "il quadruplo di"},
	"de": {"die Hälfte von", "das Doppelte von", "doppelt", "dreimal", "ein Drittel von", "ein Viertel von", "halb", "zweimal", "anderthalb", "das Dreifache von", "eineinhalb", "halbe"},
	"pt": {"metade de", "o dobro de", "o triplo de", "duas vezes", "um terço de", "um quarto de", "meio", "meia", "três quartos de", "a quarta parte de"},
}

var ordinals = map[string][]string{
	"en": {"first", "second", "third", "fourth", "fifth", "tenth", "twentieth", "hundredth", "second-to-last", "firstly", "secondly", "primary", "twelfth"},
	"fr": {"premier", "première", "deuxième", "second", "troisième", "dixième", "centième", "vingtième"},
	"es": {"primero", "primera", "segundo", "tercero", "cuarta", "décimo", "quinto", "vigésimo"},
	"it": {"primo", "prima metà", "secondo", "terzo", "quarta", "decimo", "ventesimo", "quinto"},
	"de": {"erste", "ersten", "zweite", "dritte", "zehnte", "hundertste", "zwanzigste", "vierter", "drittens"},
	"pt": {"primeiro", "segunda", "terceiro", "quarto", "décimo", "vigésimo", "quinta"},
}

var collectives = map[string][]string{
	"en": {"a dozen", "half a dozen", "dozens of", "a couple of", "a pair of", "a few", "several", "a score of", "hundreds of", "a handful of", "many", "a bunch of", "two dozen", "a trio of", "a brace of", "both halves of", "a gross of", "a baker's dozen of", "plenty of", "loads of", "a lot of", "a bit of", "a little"},
	"fr": {"une douzaine de", "une dizaine de", "une paire de", "quelques", "plusieurs", "une centaine de", "une vingtaine de", "beaucoup de"},
	"es": {"una docena de", "un par de", "unos pocos", "varios", "una decena de", "un centenar de", "muchos", "algunos"},
	"it": {"una dozzina di", "un paio di", "alcuni", "parecchi", "una decina di", "un centinaio di", "qualche", "molti"},
	"de": {"ein Dutzend", "ein Paar", "ein paar", "einige", "mehrere", "ein halbes Dutzend", "viele", "etliche", "Dutzende"},
	"pt": {"uma dúzia de", "um par de", "alguns", "vários", "uma dezena de", "uma centena de", "muitos", "umas quantas"},
}

// orders say a number in a sentence of its own.
var orders = map[string][]string{
	"en": {"%s {1} | the {1}", "{1}, %s | {1}, chef", "{d} Make it %s. | {d} Make it good.", "%s: {d} | Sure: {d}", "{d} Times %s. | {d} Thanks.", "{d} That's %s in all. | {d} That's all."},
	"fr": {"%s {1} | les {1}", "{1}, %s | ({1})", "{d} Fais-en %s. | {d} Bon courage.", "%s : {d} | Voilà : {d}"},
	"es": {"%s {1} | los {1}", "{1}, %s | ({1})", "{d} Haz %s. | {d} Suerte.", "%s: {d} | Claro: {d}"},
	"it": {"%s {1} | ({1})", "{1}, %s | ({1})", "{d} Fanne %s. | {d} Buon lavoro.", "%s: {d} | Certo: {d}"},
	"de": {"%s {1} | die {1}", "{1}, %s | ({1})", "{d} Mach %s. | {d} Viel Erfolg.", "%s: {d} | Klar: {d}"},
	"pt": {"%s {1} | os {1}", "{1}, %s | ({1})", "{d} Faz %s. | {d} Bom trabalho.", "%s: {d} | Claro: {d}"},
}

// numberKinds say numbers in words.
func numberKinds() []kind {
	var kinds []kind
	for _, lang := range languages {
		kinds = append(kinds,
			around("number words "+lang, lang, numbers[lang], orders[lang]...),
			around("halves, doubles and parts "+lang, lang, multiples[lang], orders[lang]...),
			around("ordinals "+lang, lang, ordinals[lang], orders[lang]...),
			around("dozens, pairs and a few "+lang, lang, collectives[lang], orders[lang]...),
		)
	}
	return append(kinds,
		kind{"number words of another of the six", "", func(r *rand.Rand, d good) (string, string) {
			lang := pick(r, languages)
			for lang == d.lang {
				lang = pick(r, languages)
			}
			words := numbers[lang]
			if lang == "es" && d.lang == "pt" {
				words = words[1:] // dos: of the
			}
			return around("", "", words, orders[d.lang]...).make(r, d)
		}},
		kind{"number words of a seventh language", "", func(r *rand.Rand, d good) (string, string) {
			return around("", "", []string{
				"twee", "vijf", "zeven", "femten", "tyve", "halvtreds", "dwa", "pięć", "jeden", "kaksi", "viisi", "ichi", "zwöi", "bat", "hiru", "tri", "pet", "kettő", "öt", "üç", "beş", "dau", "pump", "trei", "unu", "elfu", "en håndfuld",
			}, orders[d.lang]...).make(r, d)
		}},
		around("percent words", "en", []string{"percent", "per cent", "pct", "a percentage of", "parts per thousand", "half a percent", "percentage points", "basis points", "pro mille", "%"}, "{1} %s | {1}, chef", "%s {1} | the {1}", "{d} Plus ten %s. | {d} Thanks.", "{d} In %s. | {d} In short."),
		around("arithmetic words", "en", []string{"plus", "minus", "times", "multiplied by", "divided by", "less", "added to", "subtracted from", "squared", "to the power of", "over"}, "{1} %s a bit | {1}, as asked", "%s {1} | the {1}", "{1} %s the rest | {1}, as is"),
		around("misspelt number words", "en", []string{"tow", "thre", "fuor", "fiev", "sevn", "twleve", "twety", "hunderd", "thousnad", "fourty", "nien", "eigth", "therty", "dubble", "haff", "dozzen", "tripel", "ninty"}, orders["en"]...),
		around("number words run together", "en", []string{"onehundred", "two-fifty", "twofifty", "five-oh-oh", "twohundredgrams", "three.five", "three point five", "point two", "one-and-a-half", "threehalves", "tengrams", "OneTwoThree", "four_hundred"}, orders["en"]...),
		around("numbers in other guises", "en", []string{"a single", "solo", "a lone", "deuce", "ditto", "a grand", "a fiver", "a tenner", "a ton", "quintuple", "biannual", "a fortnight", "a century of", "a decade of", "an octet of", "a unit of", "unity", "nothing", "none of", "infinite", "countless", "googol", "a hat-trick of"}, "%s {1} | the {1}", "{1}, %s | {1}, chef"),
	)
}
