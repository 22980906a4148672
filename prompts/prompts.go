// Package prompts holds what a language model is told, by version: the facts of
// a request flow in, its texts flow out.
package prompts

import (
	"embed"
	"fmt"
	"strings"
	"text/template"
)

//go:embed *.tmpl
var files embed.FS

// Version names the prompt in use; a changed prompt is a new file.
const Version = "phrase.v2"

// Slot is what a slot stands for.
type Slot struct {
	N     int
	Means string
}

// Phrase is what a wording is asked for with.
type Phrase struct {
	Language string // "en"
	Tone     string // in the house's words; "" for a plain one
	Question string // data: what somebody wrote
	Template string
	Slots    []Slot
}

var parsed = template.Must(template.New("").Funcs(template.FuncMap{"data": data}).ParseFS(files, "*.tmpl"))

// Talk is a request as turns of a talk: System, then User and Ready in turn, then
// the template. The template is a message of its own and the only place that
// holds slots, so that what is to be worded can't be mistaken.
type Talk struct{ System, User, Ready, Template string }

// Render returns the texts of a request.
func Render(p Phrase) (Talk, error) {
	t := Talk{Template: p.Template}
	for name, to := range map[string]*string{"system": &t.System, "user": &t.User, "ready": &t.Ready} {
		var b strings.Builder
		if err := parsed.ExecuteTemplate(&b, Version+"."+name+".tmpl", p); err != nil {
			return Talk{}, fmt.Errorf("prompt %s: %w", Version, err)
		}
		*to = strings.TrimSpace(b.String())
	}
	return t, nil
}

// most is how much of what somebody wrote is passed on, in runes.
const most = 400

// data makes what somebody wrote harmless: one line, limited, no marks of ours.
func data(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	s = strings.NewReplacer("[", "(", "]", ")", "<", "(", ">", ")").Replace(s)
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return s
}
