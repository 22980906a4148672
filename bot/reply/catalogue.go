package reply

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"

	"tamis/bot/answer"
)

//go:embed messages/*.json
var messageFiles embed.FS

// Catalogue holds the messages of every language that a file was added for.
type Catalogue struct {
	bundle *i18n.Bundle
}

// NewCatalogue reads the embedded message files; each is named active.LANGUAGE.json.
func NewCatalogue() (*Catalogue, error) {
	b := i18n.NewBundle(language.English)
	b.RegisterUnmarshalFunc("json", json.Unmarshal)
	files, err := fs.Glob(messageFiles, "messages/*.json")
	if err != nil {
		return nil, fmt.Errorf("message files: %w", err)
	}
	for _, f := range files {
		if _, err := b.LoadMessageFileFS(messageFiles, f); err != nil {
			return nil, fmt.Errorf("message file %s: %w", f, err)
		}
	}
	return &Catalogue{bundle: b}, nil
}

// Words speaks one language, English where a message has no other.
type Words struct {
	loc *i18n.Localizer
}

// In returns the words of a language tag such as "en".
func (c *Catalogue) In(lang string) *Words {
	return &Words{i18n.NewLocalizer(c.bundle, lang, "en")}
}

// Say returns a message with its arguments in the places {{.A}}, {{.B}}…
// A code without a message is returned as it is: a test sees to it that there is none.
func (w *Words) Say(p answer.Phrase) string {
	s, ok := w.find(p.Code, p.Args...)
	if !ok {
		return strings.TrimSpace(p.Code + " " + strings.Join(p.Args, ", "))
	}
	return s
}

func (w *Words) find(code string, args ...string) (string, bool) {
	data := map[string]string{"All": strings.Join(args, ", ")}
	for i, a := range args {
		if i < 6 {
			data[string(rune('A'+i))] = a
		}
	}
	for i := len(args); i < 6; i++ {
		data[string(rune('A'+i))] = ""
	}
	s, err := w.loc.Localize(&i18n.LocalizeConfig{MessageID: code, TemplateData: data})
	return s, err == nil
}

// label is the word for a computed name; names of the book stand for themselves.
func (w *Words) label(what string) string {
	if s, ok := w.find("label " + what); ok {
		return s
	}
	return what
}
