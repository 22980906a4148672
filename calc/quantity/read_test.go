package quantity_test

import (
	"errors"
	"strings"
	"testing"

	"tamis/calc/quantity"
)

func TestReadNumberFigures(t *testing.T) {
	for _, c := range []struct{ in, want, taken string }{
		{"1.2", "1.2", "1.2"}, {"1,2", "1.2", "1,2"}, {"1,25 kg", "1.25", "1,25"}, {"1,2000", "1.2", "1,2000"},
		{"1.200 kg", "1.2", "1.200"}, {"0,200 kg", "0.2", "0,200"}, {"1500,250", "1500.25", "1500,250"},
		{"½", "0.5", "½"}, {"1½", "1.5", "1½"}, {"1 ½ l", "1.5", "1 ½"}, {"1⅓", "4/3", "1⅓"}, {"⅔ cup", "2/3", "⅔"},
		{"1/2", "0.5", "1/2"}, {"1⁄2", "0.5", "1⁄2"}, {"1 1/2 tsp", "1.5", "1 1/2"}, {"3/4", "0.75", "3/4"},
		{".5 l", "0.5", ".5"}, {"12.", "12", "12"}, {"  7 g", "7", "  7"}, {"540g", "540", "540"},
		{"3-4 g", "3", "3"}, {"1 20 g", "1", "1"}, {"2 1/2/3", "2", "2"}, {"1e3", "1", "1"}, {"0x10", "0", "0"},
		{"3, 4", "3", "3"}, {"1000 g", "1000", "1000"}, {"2 3/2", "2", "2"}, {"100 g", "100", "100"},
		{"1 200/3", "1", "1"},
	} {
		for _, mode := range []quantity.Mode{quantity.Book, quantity.Chat} {
			n, length, err := quantity.ReadNumber(c.in, mode)
			if err != nil || n.String() != c.want || c.in[:length] != c.taken {
				t.Errorf("mode %d: ReadNumber(%q) = %v, %q, %v, want %s, %q", mode, c.in, n, c.in[:length], err, c.want, c.taken)
			}
		}
	}
}

func TestReadNumberBad(t *testing.T) {
	for _, in := range []string{
		"", " ", "g", "-3", "+3", "−3", "inf", "NaN", "Infinity", "1/0", "1/2/3", "1.2.3", "14.4.2026", "3,4,5", "½½", "½2", "1.5½",
		"1,20,300", "1234,567.8", ".", ",", "٣", "３", "\x00", "\xff\xfe", strings.Repeat("9", 25), "0." + strings.Repeat("3", 24),
	} {
		for _, mode := range []quantity.Mode{quantity.Book, quantity.Chat} {
			if n, length, err := quantity.ReadNumber(in, mode); !errors.Is(err, quantity.ErrNumber) || !n.IsZero() {
				t.Errorf("mode %d: ReadNumber(%.40q) = %v, %d, %v, want ErrNumber", mode, in, n, length, err)
			}
		}
	}
}

func TestReadNumberAmbiguous(t *testing.T) {
	for _, c := range []struct{ in, taken, decimal, thousands string }{
		{"1,200", "1,200", "1.2", "1200"}, {"1 200", "1 200", "1.2", "1200"}, {"1,200 g", "1,200", "1.2", "1200"},
		{"12,500kg", "12,500", "12.5", "12500"}, {"1\u00a0200 g", "1\u00a0200", "1.2", "1200"}, {"1\u202f000", "1\u202f000", "1", "1000"},
		{"999,999", "999,999", "999.999", "999999"}, {"1  200", "1  200", "1.2", "1200"},
	} {
		for _, mode := range []quantity.Mode{quantity.Book, quantity.Chat} {
			_, length, err := quantity.ReadNumber(c.in, mode)
			var both *quantity.AmbiguousNumber
			if !errors.Is(err, quantity.ErrAmbiguousNumber) || !errors.As(err, &both) {
				t.Errorf("ReadNumber(%q): %v, want ErrAmbiguousNumber", c.in, err)
				continue
			}
			if c.in[:length] != c.taken || both.AsDecimal.String() != c.decimal || both.AsThousands.String() != c.thousands {
				t.Errorf("ReadNumber(%q): %q, %v", c.in, c.in[:length], err)
			}
		}
	}
}

// Several separators that read one way only: clear in chat, a fault in a book.
func TestReadNumberGrouped(t *testing.T) {
	for in, want := range map[string]string{
		"1,200.5": "1200.5", "1.200,5": "1200.5", "1 200,5": "1200.5", "1,200,000": "1200000", "1.200.000": "1200000",
		"1'200": "1200", "1’200": "1200", "12 000 000": "12000000", "1.200,500": "1200.5",
	} {
		n, length, err := quantity.ReadNumber(in, quantity.Chat)
		if err != nil || n.String() != want || length != len(in) {
			t.Errorf("chat: ReadNumber(%q) = %v, %d, %v, want %s", in, n, length, err, want)
		}
		if _, _, err := quantity.ReadNumber(in, quantity.Book); !errors.Is(err, quantity.ErrSeparator) || !errors.Is(err, quantity.ErrNumber) {
			t.Errorf("book: ReadNumber(%q): %v, want ErrSeparator", in, err)
		}
	}
}

func TestReadNumberSigned(t *testing.T) {
	for in, want := range map[string]string{"-3": "-3", "- 1/2": "-0.5", "−18": "-18", "minus eighteen": "-18"} {
		n, length, err := quantity.ReadNumber(in, quantity.Chat|quantity.Signed)
		if err != nil || n.String() != want || length != len(in) {
			t.Errorf("ReadNumber(%q) = %v, %d, %v, want %s", in, n, length, err, want)
		}
	}
	if _, _, err := quantity.ReadNumber("--3", quantity.Chat|quantity.Signed); !errors.Is(err, quantity.ErrNumber) {
		t.Errorf("two signs: %v", err)
	}
}

func TestReadNumberWords(t *testing.T) {
	for in, want := range map[string]string{
		// English
		"two and a half": "2.5", "a dozen": "12", "dozen": "12", "half a dozen": "6", "half dozen": "6", "two dozen": "24", "3 dozen": "36",
		"sixty": "60", "twenty-four": "24", "twenty four": "24", "twentyfour": "24", "Forty": "40", "nineteen": "19", "zero": "0",
		"one hundred and twenty": "120", "two hundred": "200", "a hundred": "100", "a hundred and five": "105", "twelve hundred": "1200",
		"two thousand three hundred and forty-five": "2345", "one thousand": "1000", "a couple": "2", "half": "0.5", "quarter": "0.25",
		"a half": "0.5", "one half": "0.5", "a quarter": "0.25", "three quarters": "0.75", "three-quarters": "0.75", "two thirds": "2/3", "a third": "1/3",
		"one and a half": "1.5", "one and three quarters": "1.75", "2 and a half": "2.5", "2 and 1/2": "2.5", "1-1/2": "1.5",
		"two point five": "2.5", "zero point two five": "0.25", "five eighths": "0.625", "3 quarters": "0.75",
		// French
		"douze": "12", "vingt et un": "21", "vingt-quatre": "24", "soixante-dix": "70", "soixante et onze": "71", "dix-sept": "17",
		"quatre-vingts": "80", "quatre-vingt-dix-neuf": "99", "cent vingt": "120", "deux cents": "200", "nonante": "90", "deux et demi": "2.5", "une douzaine": "12",
		// German
		"zwölf": "12", "ZWÖLF": "12", "zwoelf": "12", "dreißig": "30", "vierundzwanzig": "24", "einundneunzig": "91", "hundert": "100",
		"zweihundertfünfzig": "250", "hundertzwanzig": "120", "anderthalb": "1.5", "zweieinhalb": "2.5", "ein Dutzend": "12", "drei viertel": "0.75",
		// Spanish
		"doce": "12", "veinticuatro": "24", "treinta y cinco": "35", "cien": "100", "ciento veinte": "120", "doscientos cincuenta": "250", "dos y medio": "2.5", "media docena": "6",
		// Italian
		"dodici": "12", "ventuno": "21", "ventotto": "28", "trentatré": "33", "quarantadue": "42", "cento": "100", "duecentocinquanta": "250", "due e mezzo": "2.5",
		// Portuguese
		"doze": "12", "vinte e quatro": "24", "cento e vinte e cinco": "125", "trezentos": "300", "dois e meio": "2.5", "meia dúzia": "6",
	} {
		n, length, err := quantity.ReadNumber(in, quantity.Chat)
		if err != nil || n.String() != want || length != len(in) {
			t.Errorf("ReadNumber(%q) = %v, %q, %v, want %s", in, n, in[:length], err, want)
		}
		if in[0] > '9' {
			if _, _, err := quantity.ReadNumber(in, quantity.Book); !errors.Is(err, quantity.ErrNumber) {
				t.Errorf("book: ReadNumber(%q): %v, want ErrNumber", in, err)
			}
		}
	}
}

func TestReadNumberNoWords(t *testing.T) {
	for _, in := range []string{"double", "triple", "twice", "third", "second", "first", "and a half", "hundredth", "some", "a", "an", "a few", "tenth", "ninetyty", "und", "a tisane"} {
		if n, _, err := quantity.ReadNumber(in, quantity.Chat); !errors.Is(err, quantity.ErrNumber) {
			t.Errorf("ReadNumber(%q) = %v, %v, want ErrNumber", in, n, err)
		}
	}
	// What cannot go on a number is left.
	for in, taken := range map[string]string{
		"two and three": "two", "twenty twelve": "twenty", "five six": "five", "two and g": "two", "hundred and": "hundred",
		"ten and a cup": "ten", "thousand thousand": "thousand", "sixty sixty": "sixty", "three tiers": "three", "dix-deux": "dix", "two thousand three thousand": "two thousand three", "one thousand and hundred": "one thousand", "twenty zero": "twenty",
	} {
		if _, length, err := quantity.ReadNumber(in, quantity.Chat); err != nil || in[:length] != taken {
			t.Errorf("ReadNumber(%q) took %q, %v, want %q", in, in[:length], err, taken)
		}
	}
}

// The words one to 999 of English and German, spelt by rule, against counting.
func TestReadNumberCounts(t *testing.T) {
	ones := strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens := strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")
	einer := strings.Fields("null ein zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn siebzehn achtzehn neunzehn")
	zehner := strings.Fields("- - zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig")
	var english, german func(n int) string
	english = func(n int) string {
		switch {
		case n < 20:
			return ones[n]
		case n < 100 && n%10 == 0:
			return tens[n/10]
		case n < 100:
			return tens[n/10] + "-" + ones[n%10]
		case n%100 == 0:
			return ones[n/100] + " hundred"
		}
		return ones[n/100] + " hundred and " + english(n%100)
	}
	german = func(n int) string {
		switch {
		case n < 20:
			return einer[n]
		case n < 100 && n%10 == 0:
			return zehner[n/10]
		case n < 100:
			return einer[n%10] + "und" + zehner[n/10]
		case n%100 == 0:
			return einer[n/100] + "hundert"
		}
		return einer[n/100] + "hundert" + german(n%100)
	}
	for n := 1; n < 1000; n++ {
		for _, s := range []string{english(n), german(n), strings.ToUpper(english(n))} {
			got, length, err := quantity.ReadNumber(s, quantity.Chat)
			if err != nil || length != len(s) || !got.Equal(quantity.Int(int64(n))) {
				t.Errorf("ReadNumber(%q) = %v, %q, %v, want %d", s, got, s[:length], err, n)
			}
		}
	}
}
