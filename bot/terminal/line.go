package terminal

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"runtime/debug"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/reply"
)

// MaxLine is the longest JSON line that is read, in bytes.
const MaxLine = 1 << 20

// Asker answers messages. It may be slow the first time; it never blocks on a person.
type Asker interface {
	Ask(ctx context.Context, m bot.Message) (bot.Reply, error)
}

// lineIn is one question of a script.
type lineIn struct {
	Text    *string `json:"text"`
	Who     string  `json:"who"`
	Role    string  `json:"role"`
	Channel string  `json:"channel"`
	Now     string  `json:"now"`
}

// lineOut is one answer for a script, as the answer format says.
type lineOut struct {
	Status   answer.Status   `json:"status"`
	About    string          `json:"about"`
	Recipe   string          `json:"recipe,omitempty"`
	Revision *int            `json:"revision,omitempty"`
	Facts    []answer.Fact   `json:"facts"`
	Text     string          `json:"text"`
	Words    []string        `json:"words"`
	Assumed  []string        `json:"assumed"`
	Cautions []reply.Caution `json:"cautions"`
	Ask      string          `json:"ask"`
	Choices  []string        `json:"choices"`
	Phrased  *bool           `json:"phrased,omitempty"`
	KeptBack string          `json:"kept_back,omitempty"`
}

func out(r bot.Reply) lineOut {
	o := lineOut{
		Status: r.Status, About: r.About, Recipe: r.RecipeName, Facts: r.Facts, Text: r.Text, Words: r.Words,
		Assumed: r.Reply.Assumed, Cautions: r.Reply.Cautions, Ask: r.Reply.Ask, Choices: r.Choices,
	}
	if o.About == "" {
		o.About = "help"
	}
	if w := r.Wording; w != nil {
		used := w.KeptBack == ""
		o.Phrased, o.KeptBack = &used, string(w.KeptBack)
	}
	if r.RecipeName != "" {
		rev := r.Revision
		o.Revision = &rev
	}
	return o.filled()
}

// filled has empty lists for missing ones: a script need not tell null from [].
func (o lineOut) filled() lineOut {
	if o.Facts == nil {
		o.Facts = []answer.Fact{}
	}
	for _, l := range []*[]string{&o.Words, &o.Assumed, &o.Choices} {
		if *l == nil {
			*l = []string{}
		}
	}
	if o.Cautions == nil {
		o.Cautions = []reply.Caution{}
	}
	return o
}

// Defaults hold for lines that don't say otherwise.
type Defaults struct {
	Who  string
	Role string
	Now  func() time.Time
}

// JSON writes one reply as a line of the answer format.
func JSON(w io.Writer, r bot.Reply) error {
	if r.Line != nil {
		_, err := w.Write(append(bytes.Clone(r.Line), '\n'))
		return err
	}
	return encode(w, out(r))
}

// Reply reads a line that JSON wrote in another program.
func Reply(line []byte) (bot.Reply, error) {
	var o struct {
		Status answer.Status `json:"status"`
		Text   string        `json:"text"`
	}
	if err := json.Unmarshal(line, &o); err != nil || o.Status == "" {
		return bot.Reply{}, fmt.Errorf("no reply came back: %.80q", line)
	}
	return bot.Reply{Answer: &answer.Answer{Status: o.Status}, Reply: reply.Reply{Text: o.Text}, Line: line}, nil
}

// JSONError writes a line with status error.
func JSONError(w io.Writer, text string) error {
	return encode(w, lineOut{Status: answer.StatusError, About: "help", Text: text}.filled())
}

func encode(w io.Writer, o lineOut) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(o)
}

// Lines answers JSON lines, one out for one in, in order, each as soon as it is
// worked out. A line that is no question gives a line with status error.
func Lines(ctx context.Context, a Asker, in io.Reader, w io.Writer, d Defaults, log *slog.Logger) error {
	r := bufio.NewReaderSize(in, 64<<10)
	for {
		line, tooLong, err := readLine(r)
		if len(line) > 0 || tooLong { // a blank line is no question and says so; the end of the input is no line
			if werr := answerLine(ctx, a, line, tooLong, w, d, log); werr != nil {
				return fmt.Errorf("writing an answer: %w", werr)
			}
		}
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return fmt.Errorf("reading questions: %w", err)
		case ctx.Err() != nil:
			return ctx.Err()
		}
	}
}

// readLine reads to the end of the line; of one longer than MaxLine it keeps nothing.
func readLine(r *bufio.Reader) (line []byte, tooLong bool, err error) {
	for {
		part, err := r.ReadSlice('\n')
		if !tooLong {
			line = append(line, part...)
			if len(line) > MaxLine {
				line, tooLong = nil, true
			}
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return line, tooLong, err
		}
	}
}

func answerLine(ctx context.Context, a Asker, line []byte, tooLong bool, w io.Writer, d Defaults, log *slog.Logger) error {
	if tooLong {
		return JSONError(w, "This line is too long.")
	}
	var in lineIn
	if err := json.Unmarshal(line, &in); err != nil {
		return JSONError(w, "This line is not a JSON object with a text.")
	}
	if in.Text == nil {
		return JSONError(w, `This line has no "text".`)
	}
	at := d.Now()
	if in.Now != "" {
		t, err := time.Parse(time.RFC3339, in.Now)
		if err != nil {
			return JSONError(w, `"now" is not a time such as 2026-03-14T22:40:00+01:00.`)
		}
		at = t
	}
	if in.Who == "" {
		in.Who = d.Who
	}
	if in.Role == "" {
		in.Role = d.Role
	}
	m := bot.Message{
		Conversation: bot.ConversationID(in.Channel + "\x00" + in.Who), Author: bot.AuthorID(in.Who), Role: bot.Role(in.Role),
		Channel: in.Channel, At: at, Text: *in.Text,
	}
	r, err := Safely(ctx, a, m)
	if err != nil {
		log.Error("a question could not be answered", "err", err)
		return JSONError(w, "Something went wrong with this question; the log says what.")
	}
	return JSON(w, r)
}

// Safely asks and turns a panic into an error: one bad message must not end the rest.
func Safely(ctx context.Context, a Asker, m bot.Message) (r bot.Reply, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("answering panicked: %v\n%s", p, debug.Stack())
		}
	}()
	return a.Ask(ctx, m)
}
