package phrase

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"tamis/bot/reply"
	"tamis/calc/quantity"
)

// Draft is what a model wrote: data, nothing else.
type Draft string

// Phrased is a wording that has been checked against its template, slots filled.
// The zero value is none.
type Phrased struct{ text string }

// Text is the wording.
func (p Phrased) Text() string { return p.text }

// Reason is why a wording is not used: a short code for counters and scripts.
type Reason string

// The reasons. ReasonNone: it is used.
const (
	ReasonNone     Reason = ""
	ReasonEmpty    Reason = "empty"
	ReasonLong     Reason = "too long"
	ReasonSigns    Reason = "signs"   // a sign, letter or mark that no plain sentence needs
	ReasonSlots    Reason = "slots"   // one is missing, doubled, invented or glued to something
	ReasonNumber   Reason = "number"  // a digit, number word, fraction, ordinal
	ReasonUnit     Reason = "unit"    // a unit outside the slots
	ReasonClock    Reason = "clock"   // a time, day or date
	ReasonCompare  Reason = "compare" // a comparison, limit or guess that the template lacks
	ReasonNegation Reason = "negation"
	ReasonName     Reason = "name"   // a food or a recipe
	ReasonAdvice   Reason = "advice" // safety, allergens, or what to do
	ReasonMeta     Reason = "meta"   // it speaks of itself
	ReasonWord     Reason = "word"   // a word that no grammar has
	ReasonTurn     Reason = "turn"   // plain words, in an order that may say another thing
)

// Rejected is a draft that is not used.
type Rejected struct {
	Reason Reason
	What   string // what was found
}

func (e *Rejected) Error() string { return fmt.Sprintf("not used (%s): %q", e.Reason, e.What) }

// Names finds the names of foods and recipes in a text, folded.
type Names interface{ NamesIn(text string) []string }

const (
	mostLines = 8
	mostRunes = 600
)

var (
	slotMark = regexp.MustCompile(`\[\[([0-9]{1,2})\]\]`)
	roman    = regexp.MustCompile(`^M{0,3}(CM|CD|D?C{0,3})(XC|XL|L?X{0,3})(IX|IV|V?I{0,3})$`)
	spelled  = regexp.MustCompile(`(?i)(^|[^\pL])\pL([ .·–-]\pL){2,}($|[^\pL])`)
)

// narrow are blanks that French sets inside its marks.
var narrow = regexp.MustCompile("(«)?[\u00a0\u202f]([:;!?»])")

// Verify checks a draft against its template and fills the slots in. The
// template said word for word is always good.
//
//   - Every slot stands exactly once, apart from other words.
//   - Outside the slots: letters of the Latin alphabet and plain punctuation.
//   - Each clause is a turn of the grammar of one language: nothing is said that
//     it has no turn for, and a figure stands where a figure may.
//   - Errors: a *Rejected with the reason.
func Verify(t *reply.Template, d Draft, names Names) (Phrased, error) {
	text := strings.TrimSpace(strings.ReplaceAll(string(d), "\r\n", "\n"))
	if text == t.Text() {
		return Phrased{fill(text, t)}, nil
	}
	reject := func(r Reason, what string) (Phrased, error) { return Phrased{}, &Rejected{r, what} }
	switch {
	case text == "":
		return reject(ReasonEmpty, "")
	case !utf8.ValidString(text):
		return reject(ReasonSigns, "no UTF-8")
	case utf8.RuneCountInString(text) > mostRunes || utf8.RuneCountInString(text) > 240+60*len(t.Slots) || strings.Count(text, "\n") >= mostLines:
		return reject(ReasonLong, "")
	}
	text = narrow.ReplaceAllString(norm.NFC.String(text), "$1 $2")
	if bad := badSlots(text, len(t.Slots)); bad != "" {
		return reject(ReasonSlots, bad)
	}
	outside := slotMark.ReplaceAllString(text, gap)
	for _, r := range outside {
		if unicode.IsNumber(r) {
			return reject(ReasonNumber, string(r))
		}
	}
	if bad := badSign(outside); bad != "" {
		return reject(ReasonSigns, bad)
	}
	if bad := badTurn(text, t); bad != "" {
		r, what := speechOf(t).reasonOf(slotMark.ReplaceAllString(bad, gap), names)
		if r == ReasonNone {
			r, what = ReasonTurn, bad
		}
		return reject(r, what)
	}
	if n := foreignName(outside, names); n != "" {
		return reject(ReasonName, n)
	}
	return Phrased{fill(text, t)}, nil
}

// gap stands for a slot where only the words around are looked at.
const gap = "§"

func fill(text string, t *reply.Template) string {
	return slotMark.ReplaceAllStringFunc(text, func(m string) string {
		n, err := strconv.Atoi(m[2 : len(m)-2])
		if err != nil || n < 1 || n > len(t.Slots) {
			return m
		}
		return t.Slots[n-1].Text
	})
}

// badSlots says what is wrong with the slots of a draft, "" if nothing.
func badSlots(text string, n int) string {
	seen := make([]int, n+1)
	for _, m := range slotMark.FindAllStringSubmatchIndex(text, -1) {
		k, err := strconv.Atoi(text[m[2]:m[3]])
		if err != nil || k < 1 || k > n || text[m[2]:m[3]] != strconv.Itoa(k) {
			return text[m[0]:m[1]]
		}
		seen[k]++
		before, _ := utf8.DecodeLastRuneInString(text[:m[0]])
		after, _ := utf8.DecodeRuneInString(text[m[1]:])
		if m[0] > 0 && !strings.ContainsRune(" \n(\"“‘'’¡«", before) {
			return text[max(0, m[0]-3):m[1]]
		}
		if m[1] < len(text) && !strings.ContainsRune(" \n.,;:!?)\"”’'…»", after) {
			return text[m[0]:min(len(text), m[1]+3)]
		}
		if m[1] < len(text) && strings.ContainsRune("\"”’'", after) && !strings.ContainsRune("\"“‘'", before) {
			return text[m[0]:min(len(text), m[1]+3)] // inches, feet, minutes
		}
		if bad := badDash(text[:m[0]]); bad {
			return text[max(0, m[0]-3):m[1]]
		}
	}
	for k := 1; k <= n; k++ {
		if seen[k] != 1 {
			return "[[" + strconv.Itoa(k) + "]]"
		}
	}
	if rest := slotMark.ReplaceAllString(text, ""); strings.ContainsAny(rest, "[]") {
		return "["
	}
	return ""
}

// badDash reports whether a dash before a slot could be read as a minus.
func badDash(before string) bool {
	lead := strings.TrimRight(before, " ")
	last, n := utf8.DecodeLastRuneInString(lead)
	switch last {
	case '-', '−', '+':
		return true
	case '–', '—':
		prior := strings.TrimRight(lead[:len(lead)-n], " ")
		return prior == "" || strings.HasSuffix(prior, "\n")
	}
	return false
}

// accented are the letters of the six languages besides a to z.
const accented = "àâäáãåçéèêëíìîïñóòôöõúùûüýÿßœæÀÂÄÁÃÅÇÉÈÊËÍÌÎÏÑÓÒÔÖÕÚÙÛÜÝŸŒÆ"

// badSign finds what no plain sentence in a Latin alphabet needs.
func badSign(text string) string {
	for i, r := range text {
		switch {
		case r == '\n' || r == ' ':
		case 'a' <= r && r <= 'z', 'A' <= r && r <= 'Z', strings.ContainsRune(accented, r):
		case strings.ContainsRune(".,;:!?'’‘\"“”()–—-…¡¿«»", r):
		case string(r) == gap:
		case slices.Contains(smiles, r):
		default:
			return text[i : i+utf8.RuneLen(r)]
		}
	}
	if bad := dotted.FindString(text); bad != "" {
		return bad
	}
	for _, bad := range []string{"--", "..", "\n\n\n", "- ", "://"} {
		if bad == "- " && !strings.HasPrefix(text, bad) && !strings.Contains(text, "\n"+bad) {
			continue
		}
		if bad == ".." && strings.Count(text, "..") == strings.Count(text, "...") && !strings.Contains(text, "....") {
			continue
		}
		if strings.Contains(text, bad) {
			return bad
		}
	}
	return ""
}

// dotted is a letter, a point and a letter, as in an address.
var dotted = regexp.MustCompile(`[\pL§][.:_]\pL`)

// smiles may end a line; no other picture says nothing.
var smiles = []rune{'🙂', '😊', '😉', '🙌', '👍', '👋', '🙏'}

// numberIn finds a number that is written in words or signs.
func numberIn(outside string) string {
	for _, s := range quantity.Scan(outside, quantity.Metric) {
		w := strings.ToLower(outside[s.Start:s.End])
		if articles[fold(w)] || s.Weak && !s.Words && articles[fold(strings.Fields(w)[0])] {
			continue
		}
		if only[fold(w)] {
			continue
		}
		return w
	}
	return ""
}

// articles are words for one that are articles too; only are words that Scan
// takes for a number and a sentence for something else.
var (
	articles = set("a an un une uno una ein eine einen einem einer eines um uma uns umas unos unas l le la")
	only     = set("once due so")
)
