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
const Version = "phrase.v1"

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

// Render returns the texts of the system and of the user.
func Render(p Phrase) (system, user string, err error) {
	var s, u strings.Builder
	if err := parsed.ExecuteTemplate(&s, Version+".system.tmpl", p); err != nil {
		return "", "", fmt.Errorf("prompt %s: %w", Version, err)
	}
	if err := parsed.ExecuteTemplate(&u, Version+".user.tmpl", p); err != nil {
		return "", "", fmt.Errorf("prompt %s: %w", Version, err)
	}
	return strings.TrimSpace(s.String()), strings.TrimSpace(u.String()), nil
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
