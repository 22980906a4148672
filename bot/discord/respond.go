package discord

import (
	"context"
	"net/http"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"

	"tamis/bot/discord/wire"
)

// Callback types (interactions/receiving-and-responding).
const (
	callMessage     = int(discordgo.InteractionResponseChannelMessageWithSource)
	callDefer       = int(discordgo.InteractionResponseDeferredChannelMessageWithSource)
	callDeferUpdate = int(discordgo.InteractionResponseDeferredMessageUpdate)
	callUpdate      = int(discordgo.InteractionResponseUpdateMessage)
	callChoices     = int(discordgo.InteractionApplicationCommandAutocompleteResult)
	callModal       = int(discordgo.InteractionResponseModal)
)

// answerWithin is how long the platform waits for the first answer.
const answerWithin = 3 * time.Second

// responder answers one interaction: at once, or after it was acknowledged as slow.
type responder struct {
	a       *Adapter
	it      *interaction
	private bool // a deferred answer is shown to who asked only
	timer   *time.Timer

	mu       sync.Mutex
	deferred bool
	done     bool
}

// respond acknowledges the interaction in good time if nothing answers it before.
func (a *Adapter) respond(it *interaction, private bool) *responder {
	r := &responder{a: a, it: it, private: private}
	a.aside.Add(1)
	r.timer = time.AfterFunc(max(0, a.o.Patience-time.Since(it.came)), func() {
		defer a.aside.Done()
		r.wait(a.work)
	})
	return r
}

// settle stops the timer.
func (r *responder) settle() {
	if r.timer.Stop() {
		r.a.aside.Done()
	}
}

type callback struct {
	Type int `json:"type"`
	Data any `json:"data,omitempty"`
}

func (r *responder) call(ctx context.Context, c callback, files []*discordgo.File) error {
	ctx, cancel := context.WithDeadline(ctx, r.it.came.Add(answerWithin+time.Second))
	defer cancel()
	return r.a.rest.DoFiles(ctx, http.MethodPost, "/interactions/"+r.it.ID+"/"+r.it.Token+"/callback", c, files, nil)
}

// first sends the first answer. Where nobody knows whether it came, the platform
// is asked before it is sent again: a second first answer is an error.
func (r *responder) first(ctx context.Context, c callback, files func() []*discordgo.File) bool {
	for try := range 3 {
		var err error
		if files == nil {
			err = r.call(ctx, c, nil)
		} else {
			err = r.call(ctx, c, files())
		}
		if err == nil || wire.Code(err) == 40060 {
			return true
		}
		if final(err) || ctx.Err() != nil || time.Since(r.it.came) > answerWithin {
			r.a.count.Count("late answer")
			r.a.log.Warn("an interaction could not be answered", "err", err, "after", time.Since(r.it.came).Round(time.Millisecond))
			return false
		}
		ask, cancel := context.WithTimeout(ctx, time.Second)
		known := r.a.rest.Do(ask, http.MethodGet, r.original(), nil, nil)
		cancel()
		if known == nil {
			return true
		}
		if !pause(ctx, time.Duration(50<<try)*time.Millisecond) {
			return false
		}
	}
	return false
}

func (r *responder) original() string {
	return "/webhooks/" + r.it.App + "/" + r.it.Token + "/messages/@original"
}

// wait tells the platform that the answer takes longer.
func (r *responder) wait(ctx context.Context) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.done || r.deferred || r.it.Type == kindAutocomplete {
		return
	}
	c := callback{Type: callDefer}
	if r.private {
		c.Data = map[string]any{"flags": discordgo.MessageFlagsEphemeral}
	}
	r.note(nil, false) // before it: what the asker is shown must come to an end
	if r.deferred = r.first(ctx, c, nil); !r.deferred {
		r.over()
		return
	}
	r.a.count.Count("acknowledged as slow")
}

// answer gives the answer's parts.
func (r *responder) answer(ctx context.Context, parts []part, private bool) (out bool) {
	r.settle()
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.done || len(parts) == 0 {
		return false
	}
	r.done = true
	send := sending{asker: r.it.who()}
	if private {
		send.flags = discordgo.MessageFlagsEphemeral
	}
	if !r.deferred {
		p := parts[0]
		files := func() []*discordgo.File { return sealed{Files: p.Files}.files() }
		if out = r.first(ctx, callback{Type: callMessage, Data: p.body(send)}, files); !out {
			return false
		}
		r.more(ctx, r.sealAll(parts[1:], send))
		return true
	}
	defer r.over()
	// whether the first one is private was settled when it was deferred
	all := append(r.sealAll(parts[:1], sending{asker: send.asker}), r.sealAll(parts[1:], send)...)
	if len(all) == 0 {
		return false
	}
	r.note(all, false)
	patch, cancel := context.WithTimeout(ctx, 30*time.Second)
	err := r.a.rest.DoFiles(patch, http.MethodPatch, r.original(), all[0].Body, all[0].files(), nil)
	cancel()
	if err != nil && final(err) && ctx.Err() == nil {
		u := underway{Channel: r.it.Channel, Who: send.asker, Private: private || r.private, Parts: all}
		if err = r.a.elsewhere(ctx, number(r.it.ID), u); err == nil {
			return true
		}
	}
	if err != nil {
		r.a.log.Warn("a slow answer could not be shown", "err", err)
		return false
	}
	if len(all) > 1 {
		r.note(all, true)
		r.more(ctx, all[1:])
	}
	return true
}

func (r *responder) sealAll(parts []part, s sending) (out []sealed) {
	for _, p := range parts {
		x, err := p.seal(s)
		if err != nil {
			r.a.log.Error("an answer could not be written", "err", err)
			break
		}
		out = append(out, x)
	}
	return out
}

// more sends the rest of an answer.
func (r *responder) more(ctx context.Context, rest []sealed) {
	for _, s := range rest {
		if err := r.a.rest.DoFiles(ctx, http.MethodPost, "/webhooks/"+r.it.App+"/"+r.it.Token, s.Body, s.files(), nil); err != nil {
			r.a.log.Warn("the rest of an answer could not be shown", "err", err)
			break
		}
	}
}

// change puts a part in place of the answer.
func (r *responder) change(ctx context.Context, p part) {
	b := p.body(sending{asker: r.it.who()})
	if b.Files == nil {
		b.Files = &[]attached{}
	}
	if err := r.a.rest.DoFiles(ctx, http.MethodPatch, r.original(), b, sealed{Files: p.Files}.files(), nil); err != nil && ctx.Err() == nil {
		r.a.log.Warn("a wording could not be put in place", "err", err)
	}
}
