package look

import (
	"errors"
	"regexp"
	"strings"
	"unicode"

	"github.com/bwmarrin/discordgo"
)

// Limits of a form and of what is typed into it.
const (
	mostModalTitle = 45
	mostInputLabel = 45
	mostTyped      = 60
)

// field is the custom id of a form's one input.
const field = "typed"

// Modal is the form that an act opens, nil where it opens none; name is what the
// book calls its recipe now.
func (l *Look) Modal(a Act, name string) *discordgo.InteractionResponseData {
	if !a.Do.Form() {
		return nil
	}
	id, ok := Button(l.key, a)
	if !ok {
		return nil
	}
	code := map[Do]string{DoCovers: "form covers", DoFactor: "form factor", DoLeft: "form left"}[a.Do]
	title := cut(strings.TrimSpace(strings.ReplaceAll(clean(name), "\n", " ")), mostModalTitle)
	if title == "" {
		title = cut(l.say(code), mostModalTitle)
	}
	return &discordgo.InteractionResponseData{CustomID: id, Title: title, Components: []discordgo.MessageComponent{
		discordgo.ActionsRow{Components: []discordgo.MessageComponent{discordgo.TextInput{
			CustomID: field, Label: cut(l.say(code), mostInputLabel), Style: discordgo.TextInputShort, Placeholder: cut(l.say(code+" example"), 100),
			Required: true, MinLength: 1, MaxLength: mostTyped,
		}}},
	}}
}

// ErrTyped is what was typed into a form and is no number.
var ErrTyped = errors.New("look: not a number")

var (
	whole  = regexp.MustCompile(`^[0-9]{1,5}$`)
	amount = regexp.MustCompile(`^[0-9]{1,6}([.,][0-9]{1,4})?$|^([0-9]{1,3} )?[0-9]{1,3}/[1-9][0-9]{0,2}$`)
)

// Question is what an act asks, as somebody would type it; name is what the book
// calls its recipe now, typed what was typed into its form or picked in its menu.
func (a Act) Question(name, typed string) (string, error) {
	name = Spoken(name)
	typed = strings.Join(strings.Fields(clean(typed)), " ")
	if units(typed) > mostOption {
		typed = cut(typed, mostOption)
	}
	of := func(size string) string {
		if a.What != "" {
			return join("how much", a.What, "in", name, size)
		}
		return join(name, size)
	}
	switch a.Do {
	case DoRecipe:
		if a.Size == "" {
			return name + " × 1", nil // whatever size the talk is at; a name alone may be read as a step, too
		}
		return join(name, a.Size), nil
	case DoAmount:
		if a.What == "" {
			a.What = typed // picked in a menu
		}
		return of(a.Size), nil
	case DoMethod:
		return "method " + name, nil
	case DoAllergens:
		return "allergens " + name, nil
	case DoTimer:
		if a.What == "" {
			return "start a timer for " + name, nil
		}
		return "start a timer for " + a.What + " of " + name, nil
	case DoCovers:
		if !whole.MatchString(typed) || strings.Trim(typed, "0") == "" {
			return "", ErrTyped
		}
		return of("for " + typed), nil
	case DoFactor:
		typed = strings.TrimSpace(strings.TrimLeft(typed, "×x"))
		if !amount.MatchString(typed) || !strings.ContainsAny(typed, "123456789") {
			return "", ErrTyped
		}
		return of("× " + typed), nil
	case DoLeft:
		if typed == "" || !strings.ContainsAny(typed, "0123456789") {
			return "", ErrTyped
		}
		return typed + " left, how much " + name, nil
	case DoChoose, DoNearest:
		return typed, nil
	case DoYes:
		return "yes", nil
	case DoNo:
		return "no", nil
	case DoTaken:
		return "on it", nil
	case DoLater:
		return "snooze 10", nil
	case DoReady:
		return "what's ready", nil
	}
	return "", ErrNewer
}

// Spoken is a recipe's name as one says it in a question: brackets, quotes, stars
// and stops in it would be read as the sentence's own.
func Spoken(name string) string {
	rs := []rune(name)
	for i, r := range rs {
		inNumber := (r == ',' || r == '.') && i > 0 && i+1 < len(rs) && unicode.IsDigit(rs[i-1]) && unicode.IsDigit(rs[i+1])
		if !inNumber && strings.ContainsRune(",.:;!?()[]{}<>\"“”„«»*_~|`#\\=+", r) {
			rs[i] = ' '
		}
	}
	return strings.Join(strings.Fields(string(rs)), " ")
}

func join(words ...string) string {
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// Typed is what was typed into a submitted form: the value of its one input, by
// custom id.
func Typed(inputs map[string]string) string { return inputs[field] }

// Refusal words why a press is not answered, for its presser alone: an error of
// [Read] or of [Act.Question], or [ErrNotYours] or [ErrGone].
func (l *Look) Refusal(err error, o Options) []Part {
	code := "button foreign"
	switch {
	case errors.Is(err, ErrNotYours):
		code = "button not yours"
	case errors.Is(err, ErrGone):
		code = "button gone"
	case errors.Is(err, ErrOver):
		code = "button over"
	case errors.Is(err, ErrTyped):
		code = "form not a number"
	case errors.Is(err, ErrNewer):
		code = "button newer"
	}
	o.Mention = false
	parts := l.Text(l.say(code), o)
	for i := range parts {
		parts[i].Flags |= discordgo.MessageFlagsEphemeral
	}
	return parts
}

// What an adapter finds out about a press.
var (
	ErrNotYours = errors.New("look: another person's choice")
	ErrGone     = errors.New("look: the recipe is no longer in the book")
	ErrOver     = errors.New("look: the question it belongs to is over")
)
