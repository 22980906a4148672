package discordtest

import (
	"context"
	"strings"
	"time"
)

// Response is the first answer to an interaction.
type Response struct {
	Kind    int // callback type: 4 message, 5 deferred, 6 deferred update, 7 update, 8 choices, 9 modal
	Took    time.Duration
	Message Message // as it stood; of 4, 5, 6 and 7
	Choices []Choice
}

// Choice is a choice of an autocomplete.
type Choice struct {
	Name  string
	Value any
}

// Answer waits for the first answer; the test fails when it does not come in 3 s.
func (it *Interaction) Answer() Response {
	s := it.srv
	s.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), answerWithin+500*time.Millisecond)
	defer cancel()
	if !s.await(ctx, func() bool { return it.answered != 0 || it.late }) || it.late {
		s.t.Fatalf("the interaction of kind %d was not answered within 3 s", it.Kind)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	r := Response{Kind: it.answered, Took: it.took}
	if it.original != nil {
		r.Message = *it.original
		it.original.taken = true
	}
	for _, c := range it.choices {
		r.Choices = append(r.Choices, Choice{str(c["name"]), c["value"]})
	}
	return r
}

// Answered reports whether the first answer has come, without waiting.
func (it *Interaction) Answered() bool {
	it.srv.mu.Lock()
	defer it.srv.mu.Unlock()
	return it.answered != 0
}

// Choices waits for the choices of an autocomplete.
func (it *Interaction) Choices() []Choice {
	it.srv.t.Helper()
	return it.Answer().Choices
}

// Message waits for the message that answers, past its deferral.
func (it *Interaction) Message() Message {
	s := it.srv
	s.t.Helper()
	r := it.Answer()
	ctx, cancel := s.within()
	defer cancel()
	var m Message
	ok := s.await(ctx, func() bool {
		if it.original == nil {
			return true
		}
		if it.answered == callDeferUpdate && it.original.Edits == r.Message.Edits && len(it.follow) == 0 {
			return false
		}
		if it.original.Loading {
			return false
		}
		m = *it.original
		return true
	})
	if !ok {
		s.t.Fatalf("a deferred answer did not come within %v", s.o.Wait)
	}
	if m.ID == "" {
		s.t.Fatalf("the interaction was answered with type %d, without a message", r.Kind)
	}
	return m
}

// Followup waits for the nth later message, from 0.
func (it *Interaction) Followup(n int) Message {
	s := it.srv
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	var m Message
	if !s.await(ctx, func() bool {
		if len(it.follow) <= n {
			return false
		}
		it.follow[n].taken = true
		m = *it.follow[n]
		return true
	}) {
		s.t.Fatalf("no later message %d within %v", n, s.o.Wait)
	}
	return m
}

// Wait waits for the next message of the bot in the channel that no test has
// been given yet and that fits; ok nil takes any.
func (c *Channel) Wait(ok func(Message) bool) Message {
	s := c.srv
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	var got Message
	if !s.await(ctx, func() bool {
		for _, m := range c.messages {
			if m.author == s.app && !m.taken && !m.Loading && (ok == nil || ok(*m)) {
				m.taken = true
				got = *m
				return true
			}
		}
		return false
	}) {
		s.t.Fatalf("nothing of the kind in %s within %v; there is:\n%s", c.Name, s.o.Wait, c.transcript())
	}
	return got
}

// Reply waits for the bot's reply to a message.
func (c *Channel) Reply(to Message) Message {
	c.srv.t.Helper()
	return c.Wait(func(m Message) bool { return m.ReplyTo == to.ID })
}

// WaitEdit waits until the bot changes a message and gives it anew.
func (c *Channel) WaitEdit(m Message) Message {
	s := c.srv
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	var got Message
	if !s.await(ctx, func() bool {
		x := c.find(m.ID)
		if x == nil {
			x = s.hidden[m.ID]
		}
		if x == nil || x.Edits <= m.Edits {
			return false
		}
		got = *x
		return true
	}) {
		s.t.Fatalf("the message %q was not changed within %v", m.Content, s.o.Wait)
	}
	return got
}

// WaitGone waits until a message is deleted.
func (c *Channel) WaitGone(m Message) {
	s := c.srv
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	if !s.await(ctx, func() bool {
		x := s.hidden[m.ID]
		return c.find(m.ID) == nil && (x == nil || x.Deleted)
	}) {
		s.t.Fatalf("the message %q was not deleted within %v", m.Content, s.o.Wait)
	}
}

// Quiet holds that the bot says nothing more in the channel for a while.
func (c *Channel) Quiet(for_ time.Duration) {
	s := c.srv
	s.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), for_)
	defer cancel()
	if s.await(ctx, func() bool {
		for _, m := range c.messages {
			if m.author == s.app && !m.taken {
				return true
			}
		}
		return false
	}) {
		s.t.Fatalf("the bot spoke in %s, where it should be quiet:\n%s", c.Name, c.transcript())
	}
}

// Messages are the messages that stand in the channel, oldest first.
func (c *Channel) Messages() []Message {
	c.srv.mu.Lock()
	defer c.srv.mu.Unlock()
	out := make([]Message, len(c.messages))
	for i, m := range c.messages {
		out[i] = *m
	}
	return out
}

// Answers counts, by the id of the message that was said, the bot's replies.
func (c *Channel) Answers() map[string]int {
	out := map[string]int{}
	for _, m := range c.Messages() {
		if m.author == c.srv.app && m.ReplyTo != "" {
			out[m.ReplyTo]++
		}
	}
	return out
}

func (c *Channel) transcript() string {
	var b strings.Builder
	for _, m := range c.Messages() {
		b.WriteString("  " + m.author.Name + ": " + m.Text() + "\n")
	}
	return b.String()
}
