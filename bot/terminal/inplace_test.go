package terminal_test

import (
	"bytes"
	"context"
	"log/slog"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/reply"
	"tamis/bot/terminal"
)

// slow answers at once and has a wording later.
type slow struct{ good bool }

func (s slow) Ask(_ context.Context, m bot.Message) (bot.Reply, error) {
	r := bot.Reply{Answer: &answer.Answer{Status: answer.StatusAnswer}, Reply: reply.Reply{Text: "450 g egg yolk\nbase"}}
	if m.InPlace {
		r.Better = func(context.Context) (bot.Reply, bool) {
			b := r
			b.Text = "You need 450 g egg yolk."
			return b, s.good
		}
	}
	return r, nil
}

// The plain reply stands first; a wording takes its lines, or nothing happens.
func TestInPlace(t *testing.T) {
	const plain, over = "450 g egg yolk\nbase\n", "\x1b[2A\x1b[JYou need 450 g egg yolk.\n"
	for _, tt := range []struct {
		name          string
		inPlace, good bool
		want          string
	}{
		{"worded", true, true, plain + over},
		{"kept back", true, false, plain},
		{"a pipe", false, true, plain},
	} {
		var out bytes.Buffer
		err := terminal.Chat(t.Context(), slow{tt.good}, terminal.NewPipe(strings.NewReader("yolk\n")), &out, terminal.Look{Width: 60, InPlace: tt.inPlace},
			bot.Message{}, time.Now, slog.New(slog.DiscardHandler), nil)
		if err != nil || out.String() != tt.want {
			t.Errorf("%s: %q, %v; want %q", tt.name, out.String(), err, tt.want)
		}
	}
}
