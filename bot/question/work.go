package question

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// Work is what a message about running work gives.
type Work struct {
	Recipes []*kb.Recipe // what its name may mean, the nearest first
	Words   []string     // of that name, folded
	Named   bool         // some name was written
	Much    string       // as written: "3 tubs"
	Verb    string       // as written: "setting"
	Minutes *quantity.Number
	Celsius *quantity.Number
	Hard    string           // what was seen: "hard"
	Pronoun bool             // "it", "that", "they"
	Late    bool             // corrects what was said: "actually", "sorry"
	Step    int              // of the method, from 1, that was chosen when asked back
	ID      uint64           // of the timer that was chosen when asked back
	All     bool             // "stop all"
	Since   bool             // asked how long it has been in
	Held    bool             // the temperature is of food held hot
	Every   *quantity.Number // minutes between the cook's own nudges
	Last    bool             // the last temperature told is meant
	OfLog   bool             // it is said to be of the log
	Unsure  bool             // a temperature is called wrong, and not said to be struck out
	Cooled  bool             // the temperature is of food put to cool
	Morning bool             // "in the morning", without an hour
	Told    []Told           // temperatures of cold places, and several in one message
}

// Carried reports whether a temperature goes on from the one told last.
func (w *Work) Carried() bool {
	if len(w.Told) == 0 {
		return true
	}
	return w.Told[0].Of == 0 && w.Told[0].Place == ""
}

// IsWork reports whether the question is about running work.
func (q *Question) IsWork() bool {
	return q.Want >= WantStarted && q.Want <= WantShould || q.Want == WantKilled || q.Want == WantStrike || q.Want == WantNudge
}

// same is equal for work that says the same.
func (w *Work) same() string {
	out := strings.Join(w.Words, " ") + "|" + w.Much + "|" + w.Verb + "|" + w.Hard
	for _, n := range []*quantity.Number{w.Minutes, w.Celsius, w.Every} {
		if n != nil {
			out += "|" + n.String()
		}
	}
	for i := range w.Told {
		t := &w.Told[i]
		out += fmt.Sprintf("|%d,%s,%s,%v", t.Of, t.Place, t.Celsius, t.Label)
		if t.Clock != nil {
			out += fmt.Sprint(*t.Clock)
		}
	}
	return out
}

// workRole is what a phrase of running work does.
type workRole string

// workTable is words/work.txt: phrases by their first word.
type workTable struct {
	phrases map[string][]workPhrase
}

type workPhrase struct {
	words []string
	roles map[workRole]bool
}

var workWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/work.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	return t
})

// read adds the phrases of a file, "role: phrase; phrase" a line.
func (t *workTable) read(file string, r io.Reader) error {
	sc := bufio.NewScanner(r)
	sc.Buffer(nil, 1<<20)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		role, list, ok := strings.Cut(line, ":")
		if !ok {
			return fmt.Errorf("%s:%d: no role", file, n)
		}
		for _, p := range strings.Split(list, ";") {
			words := strings.Fields(name.Plain(p))
			if len(words) == 0 {
				return fmt.Errorf("%s:%d: an empty phrase", file, n)
			}
			t.add(words, workRole(role))
		}
	}
	return sc.Err()
}

func (t *workTable) add(words []string, role workRole) {
	list := t.phrases[words[0]]
	for i := range list {
		if strings.Join(list[i].words, " ") == strings.Join(words, " ") {
			list[i].roles[role] = true
			return
		}
	}
	t.phrases[words[0]] = append(list, workPhrase{words, map[workRole]bool{role: true}})
}

// longest is how many of the words a phrase with one of the roles covers, and
// which of the roles it has.
func (t *workTable) longest(words []string, roles []workRole) (int, map[workRole]bool) {
	n := 0
	var has map[workRole]bool
	for _, p := range t.phrases[words[0]] {
		if len(p.words) <= n || len(p.words) > len(words) {
			continue
		}
		same := true
		for i := range p.words {
			same = same && p.words[i] == words[i]
		}
		if !same {
			continue
		}
		for _, r := range roles {
			if p.roles[r] {
				n, has = len(p.words), p.roles
				break
			}
		}
	}
	return n, has
}
