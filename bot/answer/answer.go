package answer

import (
	"time"

	"tamis/bot/question"
	"tamis/kb"
)

// Status is how a question ended.
type Status string

// The statuses of the answer format.
const (
	StatusAnswer  Status = "answer"
	StatusAsk     Status = "ask"
	StatusUnknown Status = "unknown"
	StatusRefused Status = "refused"
	StatusError   Status = "error"
)

// Answer is what a question comes to, before it is worded.
type Answer struct {
	Status Status
	About  string
	Recipe *kb.Recipe // answered from; nil: none
	Facts  []Fact
	Words  []string // quoted from the book
	Steps  int      // of a method: so many of Words are its steps, the rest its remedies
	// Assumed, Cautions, Ask and Notes are message codes with their arguments.
	Assumed  []Phrase
	Cautions []Phrase
	Ask      *Phrase
	Notes    []Phrase
	Choices  []string
	// Form tells reply how to lay the facts out.
	Form Form
	// Title is the recipe and its size as a heading, where the form has one.
	Title Title
	// Refusal or unknown: why.
	Why *Phrase
	// Question that was answered; for the conversation.
	Question *question.Question
	// Spoken is the recipe that a message names that is not understood.
	Spoken *kb.Recipe
	// Pending are the choices as the conversation needs them.
	Pending []question.Choice
	// Begun is what a timer is to be set for; nil where none is asked.
	Begun *Begun
}

// Begun is a step that somebody has begun, with the times of the book.
type Begun struct {
	Recipe             *kb.Recipe // nil: a plain timer
	Verb, Span, Where  string
	Start              time.Time
	Least, Most, Never time.Duration // from Start; 0: none
	Stir               time.Duration
}

// Phrase is a message of the catalogue with its arguments, in order.
type Phrase struct {
	Code string
	Args []string
}

// Form is how an answer is laid out.
type Form string

// The forms.
const (
	FormAmounts Form = "amounts" // number first, one a line
	FormCard    Form = "card"    // a recipe as a table
	FormMethod  Form = "method"  // numbered steps
	FormSteps   Form = "steps"   // times and temperatures
	FormLines   Form = "lines"   // one fact a line
	FormSets    Form = "sets"    // sets of names
	FormTalk    Form = "talk"    // words alone
	FormConvert Form = "convert"
	FormWords   Form = "words"  // quoted from the book
	FormChange  Form = "change" // a difference: what is, and what was
	FormWork    Form = "work"   // running work: a moment and a batch a line, under headings
)

// Title is what an answer is about: the recipe and the size.
type Title struct {
	Recipe string
	Factor string // "3"; "" for one batch
	Size   string // "50 covers", "2.84 kg"
}

func phrase(code string, args ...string) *Phrase { return &Phrase{code, args} }

func (a *Answer) note(code string, args ...string) { a.Notes = append(a.Notes, Phrase{code, args}) }
func (a *Answer) assume(code string, args ...string) {
	a.Assumed = append(a.Assumed, Phrase{code, args})
}
func (a *Answer) caution(code string, args ...string) {
	a.Cautions = append(a.Cautions, Phrase{code, args})
}
func (a *Answer) add(f ...Fact) { a.Facts = append(a.Facts, f...) }

// unknown makes a an honest "I don't have that".
func (a *Answer) unknown(code string, args ...string) *Answer {
	a.Status, a.Why, a.Facts, a.Form = StatusUnknown, phrase(code, args...), nil, FormTalk
	return a
}

// asks makes a one question back.
func (a *Answer) asks(code string, choices []question.Choice, args ...string) *Answer {
	a.Status, a.Ask, a.Facts, a.Form = StatusAsk, phrase(code, args...), nil, FormTalk
	a.Pending = choices
	a.Choices = nil
	for _, c := range choices {
		a.Choices = append(a.Choices, c.Label)
	}
	return a
}
