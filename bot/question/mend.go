package question

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"tamis/kb/name"
)

// tradeTable is words/trade.txt: words that are put right where they are misspelt.
type tradeTable struct {
	words []string          // sorted
	unit  map[string]string // the symbol of those that are units
	heard map[string]string // what a phone writes, and the word it stands for
}

var tradeWords = sync.OnceValue(func() *tradeTable {
	file, err := readPhrases("words/trade.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	t := &tradeTable{unit: map[string]string{}, heard: map[string]string{}}
	for w, list := range file.phrases {
		for _, p := range list {
			for role := range p.roles {
				if of, ok := strings.CutPrefix(string(role), "heard "); ok {
					t.heard[w] = name.Singular(of)
					continue
				}
				t.words = append(t.words, w)
				if symbol, ok := strings.CutPrefix(string(role), "unit "); ok {
					t.unit[w] = symbol
				}
			}
		}
	}
	slices.Sort(t.words)
	t.words = slices.Compact(t.words)
	return t
})

// mend puts slips of the trade's own words right before anything is read: units,
// words of sizes and of questions. A word of a list or of the book stays as it
// is, and one that is as near to a name of the book; words of three letters and
// numbers are never touched. A mended token knows what it was.
func (l *lattice) mend() {
	for i := range l.tokens {
		t := &l.tokens[i]
		w := l.mended(i)
		if w == "" {
			continue
		}
		t.was = t.plain
		t.plain, t.fold = w, name.Singular(w)
		if symbol := tradeWords().unit[w]; symbol != "" && len(symbol) <= t.end-t.start {
			l.write(t.start, t.end, strings.Repeat(" ", t.end-t.start-len(symbol))+symbol)
		}
	}
}

// write puts as many other bytes in the place of those from start to end, for
// what looks for quantities.
func (l *lattice) write(start, end int, with string) {
	l.scan = l.scan[:start] + with + l.scan[end:]
}

// mended is the one trade word that the token at i is a slip of, "" if none.
func (l *lattice) mended(i int) string {
	t := &l.tokens[i]
	n := utf8.RuneCountInString(t.plain)
	if t.number || n < 4 || isEnglish(t) || isFood(t) || cues().words[t.fold] || cues().words[t.plain] || crafts().words[t.fold] || l.x.spell().knows(t.plain) || l.x.spell().knows(t.fold) {
		return ""
	}
	if len(shortFor()[t.fold]) > 0 || thumbs[t.plain] != "" || len(workWords().phrases[t.plain]) > 0 || len(chatterWords().phrases[t.plain]) > 0 || len(safetyWords().phrases[t.plain]) > 0 {
		return ""
	}
	if _, ok := factorWord(t.fold, t.plain); ok || shareWords[t.plain] != [2]int64{} || l.writtenUnit(t) {
		return ""
	}
	best, word, same := 3, "", false
	for _, w := range tradeWords().words {
		m := utf8.RuneCountInString(w)
		most := 1
		if n >= 7 && m >= 7 || n >= 7 && m >= 6 && slices.Contains(sizeWords, w) {
			most = 2
		}
		d, ok := name.Slips(t.plain, w, most)
		if !ok || w[0] != t.plain[0] {
			continue
		}
		switch {
		case d < best:
			best, word, same = d, w, false
		case d == best && tradeWords().unit[w] != "" && tradeWords().unit[w] == tradeWords().unit[word]:
		case d == best && name.Singular(w) != name.Singular(word):
			same = true
		}
	}
	if word == "" || same {
		return ""
	}
	if slices.Contains(sizeWords, word) && l.leads(i) {
		return word
	}
	for _, f := range l.x.spell().near(t.plain, t.fold, best) {
		if f.edits <= best && f.name && f.word != word && f.word != name.Singular(word) && len(l.x.byWord[f.word]) > 0 {
			return "" // it may be of the book
		}
	}
	return word
}

// leads reports whether the word at i stands where a verb does: "trile the dome".
func (l *lattice) leads(i int) bool {
	return i+1 < len(l.tokens) && !l.tokens[i+1].breaks && slices.Contains([]string{"it", "the", "this", "that", "my", "our"}, l.tokens[i+1].plain)
}

// writtenUnit reports whether a token is a unit as it stands.
func (l *lattice) writtenUnit(t *token) bool {
	c := chatter{}
	return c.isUnit(t)
}

// kinds are words of other languages for a kind of food, not for one of them: any
// flour of a recipe is meant.
var kinds = map[string]string{
	"farine": "flour", "mehl": "flour", "harina": "flour", "farina": "flour", "farinha": "flour", "meel": "flour",
	"sucre": "sugar", "zucker": "sugar", "azucar": "sugar", "zucchero": "sugar", "acucar": "sugar", "suiker": "sugar",
	"huile": "oil", "aceite": "oil", "olio": "oil", "oleo": "oil",
	"vinaigre": "vinegar", "essig": "vinegar", "vinagre": "vinegar", "aceto": "vinegar",
	"chocolat": "chocolate", "schokolade": "chocolate", "cioccolato": "chocolate",
	"saft": "juice", "zumo": "juice", "succo": "juice", "suco": "juice",
}

// abroad puts a kind of food into the words of the book, where the book itself has
// no such word.
func (l *lattice) abroad() {
	for i := range l.tokens {
		t := &l.tokens[i]
		w := kinds[t.plain]
		if w == "" || len(l.x.byWord[t.plain]) > 0 || len(l.x.byWord[t.fold]) > 0 || len(l.x.byWord[w]) == 0 {
			continue
		}
		t.plain, t.fold = w, w
	}
	for i := range l.tokens { // "tuile four combien": the oven
		t := &l.tokens[i]
		if t.plain != "four" || i+1 < len(l.tokens) && !l.tokens[i+1].breaks && (l.tokens[i+1].fold == "time" || l.tokens[i+1].plain == "x" || isBatchWord(l.tokens[i+1].fold)) {
			continue // "pain au chocolat four times"
		}
		if i > 0 && l.tokens[i-1].plain == "au" || slices.ContainsFunc(l.tokens, func(o token) bool {
			return o.plain == "combien" || o.plain == "quelle" || o.plain == "quel" || o.plain == "cuisson"
		}) {
			l.write(t.start, t.end, "    ")
			t.plain, t.fold = "oven", "oven"
		}
	}
}

// thumbed are words that thumbs write with a figure in them.
var thumbed = map[string]string{
	"b4": "before", "2nite": "tonight", "2night": "tonight", "2day": "today", "2moro": "tomorrow", "2morro": "tomorrow", "2morrow": "tomorrow", "2mrw": "tomorrow", "2mro": "tomorrow",
	"l8r": "later", "l8": "late", "gr8": "great", "m8": "mate", "w8": "wait",
}

// thumbed puts "b4" and "2nite" into letters, where figure and letters touch.
func (l *lattice) thumbed() {
	for i := 0; i < len(l.tokens); i++ {
		joined := l.tokens[i].plain
		for j := i + 1; j < min(i+3, len(l.tokens)) && l.tokens[j].start == l.tokens[j-1].end; j++ {
			joined += l.tokens[j].plain
			w := thumbed[joined]
			if w == "" || j+1 < len(l.tokens) && l.tokens[j+1].start == l.tokens[j].end {
				continue
			}
			a, end := l.tokens[i].start, l.tokens[j].end
			l.write(a, end, strings.Repeat(" ", end-a))
			l.tokens[i] = token{start: a, end: end, plain: w, fold: name.Singular(w), breaks: l.tokens[i].breaks, question: l.tokens[j].question}
			l.tokens = slices.Delete(l.tokens, i+1, j+1)
			break
		}
	}
}

// decimals joins "5 point 7" as a phone writes it, where figures stand on both sides.
func (l *lattice) decimals() {
	for i := 0; i+2 < len(l.tokens); i++ {
		a, b, c := &l.tokens[i], &l.tokens[i+1], &l.tokens[i+2]
		if !a.number || !c.number || b.breaks || c.breaks || strings.ContainsAny(a.plain+c.plain, ".,:") || c.end-a.start > 24 {
			continue
		}
		switch b.plain {
		case "point", "komma", "coma", "punto", "ponto", "virgola", "virgula", "virgule":
		default:
			continue
		}
		n := a.plain + "." + c.plain
		l.write(a.start, c.end, n+strings.Repeat("0", c.end-a.start-len(n)))
		a.plain, a.fold, a.end = n, n, c.end
		l.tokens = slices.Delete(l.tokens, i+1, i+3)
	}
}

// heardAs is the word of the book that a word stands for where a phone listened, "" if none.
func (l *lattice) heardAs(i int) string {
	w := tradeWords().heard[l.tokens[i].plain]
	if w == "" || len(l.x.byWord[w]) == 0 || l.isName(i) || len(l.x.byWord[l.tokens[i].fold]) > 0 {
		return ""
	}
	return w
}
