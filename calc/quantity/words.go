package quantity

import "strings"

// class is the part a number word plays in a longer number.
type class uint8

const (
	none     class = iota
	unitWord       // 1-9, and 0
	teen           // 10-19
	ten            // 20, 30 … 90
	hundred        // 100: multiplies what stands before it
	hundreds       // 200 … 900 as one word
	thousand       // multiplies likewise
	closed         // a whole number as one word: "vierundzwanzig"
)

type numberWord struct {
	v     int64
	class class
}

// language holds the number words of one language.
type language struct {
	words    map[string]numberWord
	and      string // joins tens to units or hundreds to the rest
	andTens  bool   // and may stand after the tens
	andHund  bool   // and may stand after hundreds and thousands
	compound func(l *language, s string) (int64, bool)
	vigesime bool // soixante-dix, quatre-vingts
}

var languages = func() []*language {
	table := func(text string) map[string]numberWord {
		m := map[string]numberWord{}
		rows := strings.Split(strings.TrimSpace(text), "\n")
		for _, row := range rows {
			fields := strings.Fields(row)
			c := map[string]class{"unit": unitWord, "teen": teen, "ten": ten, "hundred": hundred, "hundreds": hundreds, "thousand": thousand, "closed": closed}[fields[0]]
			for i, alternatives := range fields[2:] {
				v := map[string][2]int64{"0": {0, 1}, "1": {1, 1}, "10": {10, 1}, "20": {20, 10}, "21": {21, 1}, "100": {100, 100}, "200": {200, 100}, "1000": {1000, 0}}[fields[1]]
				for _, w := range strings.Split(alternatives, ",") {
					m[w] = numberWord{v[0] + int64(i)*v[1], c}
				}
			}
		}
		return m
	}
	return []*language{
		{and: "and", andHund: true, compound: (*language).tenUnit, words: table(`
unit 0 zero one two three four five six seven eight nine
teen 10 ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen
ten 20 twenty thirty forty,fourty fifty sixty seventy eighty ninety
hundred 100 hundred
thousand 1000 thousand`)},
		{and: "et", andTens: true, vigesime: true, words: table(`
unit 0 zero un,une deux trois quatre cinq six sept huit neuf
teen 10 dix onze douze treize quatorze quinze seize
ten 20 vingt,vingts trente quarante cinquante soixante septante huitante,octante nonante
hundred 100 cent,cents
thousand 1000 mille`)},
		{and: "und", andHund: true, compound: (*language).german, words: table(`
unit 0 null eins,ein,eine,einen,einem zwei,zwo drei vier funf,fuenf sechs sieben acht neun
teen 10 zehn elf zwolf,zwoelf dreizehn vierzehn funfzehn,fuenfzehn sechzehn siebzehn achtzehn neunzehn
ten 20 zwanzig dreissig vierzig funfzig,fuenfzig sechzig siebzig achtzig neunzig
hundred 100 hundert
thousand 1000 tausend`)},
		{and: "y", andTens: true, words: table(`
unit 0 cero un,uno,una dos tres cuatro cinco seis siete ocho nueve
teen 10 diez once doce trece catorce quince dieciseis diecisiete dieciocho diecinueve
ten 20 veinte treinta cuarenta cincuenta sesenta setenta ochenta noventa
closed 21 veintiuno,veintiun,veintiuna veintidos veintitres veinticuatro veinticinco veintiseis veintisiete veintiocho veintinueve
hundred 100 cien,ciento
hundreds 200 doscientos,doscientas trescientos,trescientas cuatrocientos,cuatrocientas quinientos,quinientas seiscientos,seiscientas setecientos,setecientas ochocientos,ochocientas novecientos,novecientas
thousand 1000 mil`)},
		{and: "e", andTens: true, compound: (*language).italian, words: table(`
unit 0 zero uno,un,una due tre quattro cinque sei sette otto nove
teen 10 dieci undici dodici tredici quattordici quindici sedici diciassette diciotto diciannove
ten 20 venti trenta quaranta cinquanta sessanta settanta ottanta novanta
hundred 100 cento
thousand 1000 mille,mila`)},
		{and: "e", andTens: true, andHund: true, words: table(`
unit 0 zero um,uma dois,duas tres quatro cinco seis sete oito nove
teen 10 dez onze doze treze catorze,quatorze quinze dezesseis,dezasseis dezessete,dezassete dezoito dezenove,dezanove
ten 20 vinte trinta quarenta cinquenta sessenta setenta oitenta noventa
hundred 100 cem,cento
hundreds 200 duzentos,duzentas trezentos,trezentas quatrocentos,quatrocentas quinhentos,quinhentas seiscentos,seiscentas setecentos,setecentas oitocentos,oitocentas novecentos,novecentas
thousand 1000 mil`)},
	}
}()

// commonWords are number words of one language that mean something else, or
// are articles, in another: alone they count for little.
var commonWords = wordSet("a an one demi demie mezza meia meio once due seize cent cents um uma un une una uno ein eine einen einem elf doze sei media medio mil mille null set tre half mezzo couple quarter")

var (
	dozens = wordSet("dozen dozens doz dz douzaine douzaines dutzend docena docenas dozzina dozzine duzia duzias")
	halves = wordSet("half demi demie halb halbe halber halbes halben medio media mezzo mezza meio meia")
	ands   = wordSet("and et und y e")
	ones   = wordSet("a an one un une una uno ein eine einen um uma")
	// parts are the names of fractions; all but the quarter need a count before
	// them: "third" alone is an ordinal.
	parts = map[string]int64{
		"quarter": 4, "quarters": 4, "third": 3, "thirds": 3, "half": 2, "halves": 2, "fifth": 5, "fifths": 5,
		"sixth": 6, "sixths": 6, "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10,
		"viertel": 4, "drittel": 3, "cuarto": 4, "cuartos": 4, "tercio": 3, "tercios": 3, "terzo": 3, "terzi": 3, "quarti": 4,
	}
)

// sameInPlural are the parts whose plural does not end in s.
var sameInPlural = wordSet("viertel drittel terzi quarti")

func wordSet(words string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(words) {
		m[w] = true
	}
	return m
}

func (l *language) lookup(s string) (numberWord, bool) {
	if w, ok := l.words[s]; ok {
		return w, true
	}
	if l.compound != nil && len(s) >= 6 && len(s) <= 40 {
		if v, ok := l.compound(l, s); ok {
			return numberWord{v, closed}, true
		}
	}
	return numberWord{}, false
}

// tenUnit reads "twentyfour".
func (l *language) tenUnit(s string) (int64, bool) {
	if i := strings.Index(s, "ty"); i > 0 {
		t, u := l.words[s[:i+2]], l.words[s[i+2:]]
		if t.class == ten && u.class == unitWord && u.v > 0 {
			return t.v + u.v, true
		}
	}
	return 0, false
}

// german reads "vierundzwanzig", "hundertzwanzig", "zweihundertfunfzig".
func (l *language) german(s string) (int64, bool) {
	if before, after, ok := strings.Cut(s, "hundert"); ok {
		h := int64(1)
		if before != "" {
			w := l.words[before]
			if w.class != unitWord || w.v == 0 {
				return 0, false
			}
			h = w.v
		}
		if after = strings.TrimPrefix(after, "und"); after == "" {
			return h * 100, true
		}
		v, ok := l.germanTens(after)
		return h*100 + v, ok
	}
	return l.germanTens(s)
}

func (l *language) germanTens(s string) (int64, bool) {
	if w, ok := l.words[s]; ok && w.v < 100 {
		return w.v, true
	}
	unit, tens, _ := strings.Cut(s, "und")
	if u, t := l.words[unit], l.words[tens]; u.class == unitWord && u.v > 0 && t.class == ten {
		return t.v + u.v, true
	}
	return 0, false
}

// italian reads "ventiquattro", "ventuno", "duecentocinquanta".
func (l *language) italian(s string) (int64, bool) {
	if before, after, ok := strings.Cut(s, "cento"); ok {
		h := int64(1)
		if before != "" {
			w := l.words[before]
			if w.class != unitWord || w.v < 2 {
				return 0, false
			}
			h = w.v
		}
		if after == "" {
			return h * 100, true
		}
		v, ok := l.italianTens(after)
		return h*100 + v, ok
	}
	return l.italianTens(s)
}

func (l *language) italianTens(s string) (int64, bool) {
	if w, ok := l.words[s]; ok && w.v < 100 {
		return w.v, true
	}
	for _, t := range []string{"venti", "trenta", "quaranta", "cinquanta", "sessanta", "settanta", "ottanta", "novanta"} {
		rest, ok := strings.CutPrefix(s, t[:len(t)-1])
		if !ok {
			continue
		}
		if rest == "uno" || rest == "un" || rest == "otto" { // the vowel falls away
			return l.words[t].v + l.words[rest].v, true
		}
		if u := l.words[rest[min(1, len(rest)):]]; strings.HasPrefix(s, t) && u.class == unitWord && u.v > 1 && u.v != 8 {
			return l.words[t].v + u.v, true
		}
	}
	return 0, false
}

const maxNumberWords = 12

// cardinal reads the longest whole number in l's words from toks[i] on.
func (l *language) cardinal(toks []token, i int) (v int64, end int, count int) {
	var total, group int64
	last := none
	usedThousand := false
	for end = i; count < maxNumberWords; {
		k, conn := end, false
		if last != none {
			k = skipJoin(toks, end)
			if k == end {
				break
			}
			if k < len(toks) && toks[k].kind == letter && toks[k].text == l.and {
				conn = true
				if k = skipJoin(toks, k+1); k >= len(toks) {
					break
				}
			}
		}
		if k >= len(toks) || toks[k].kind != letter {
			break
		}
		w, ok := l.lookup(toks[k].text)
		if !ok || !l.follows(last, group, usedThousand, w, conn) {
			break
		}
		switch {
		case l.vigesime && last == unitWord && w.class == ten: // quatre-vingts
			group += 76
		case w.class == hundred && last != none && last != thousand:
			group *= 100
		case w.class == thousand:
			total, group, usedThousand = max(group, 1)*1000, 0, true
		default:
			group += w.v
		}
		last = w.class
		end = k + 1
		count++
	}
	return total + group, end, count
}

// follows reports whether w may come after a word of class last.
func (l *language) follows(last class, group int64, usedThousand bool, w numberWord, conn bool) bool {
	if last == none {
		return true
	}
	if conn && !(last == ten && l.andTens || (last == hundred || last == hundreds || last == thousand) && l.andHund) {
		return false
	}
	big := last == hundred || last == hundreds || last == thousand
	switch w.class {
	case unitWord:
		return w.v > 0 && (big || last == ten ||
			l.vigesime && last == teen && group%20 == 10 && w.v >= 7) // dix-sept
	case teen:
		return big || last == ten && l.vigesime && (group%100 == 60 || group%100 == 80)
	case ten:
		return big || l.vigesime && last == unitWord && group%100 == 4 && w.v == 20
	case closed:
		return big
	case hundred:
		return !conn && (last == thousand || (last == unitWord || last == teen) && group < 20)
	case hundreds:
		return last == thousand
	case thousand:
		return !conn && !usedThousand && group > 0
	}
	return false
}

// skipJoin skips what may part two words of one number: a space or a hyphen.
func skipJoin(toks []token, i int) int {
	i = skipSpace(toks, i)
	if i < len(toks) && toks[i].text == "-" {
		i = skipSpace(toks, i+1)
	}
	return i
}
