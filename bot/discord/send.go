package discord

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base32"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"tamis/bot"
	"tamis/bot/discord/wire"
)

// part is one message as it is laid out.
type part struct {
	Content    string
	Embeds     []*discordgo.MessageEmbed
	Components []discordgo.MessageComponent
	Files      []file
	Thread     string // of the thread to open on it; "": none
	InThread   bool   // goes into that thread
	Private    bool   // of use to nobody but who asked
	Ping       bool   // who asked may be pinged
	Flags      discordgo.MessageFlags
}

// sending is where a part goes.
type sending struct {
	nonce, asker, channel string
	to                    string // the message that is answered
	first                 bool
	flags                 discordgo.MessageFlags
}

// body is a message as the platform takes it. Nobody is pinged but, where the
// text names them, who asked.
type body struct {
	Content    string                       `json:"content"`
	Embeds     []*discordgo.MessageEmbed    `json:"embeds"`
	Components []discordgo.MessageComponent `json:"components"`
	Allowed    allowed                      `json:"allowed_mentions"`
	Files      *[]attached                  `json:"attachments,omitempty"`
	Reference  *reference                   `json:"message_reference,omitempty"`
	Nonce      string                       `json:"nonce,omitempty"`
	Enforce    bool                         `json:"enforce_nonce,omitempty"`
	Flags      discordgo.MessageFlags       `json:"flags,omitempty"`
}

type allowed struct {
	Parse   []string `json:"parse"`
	Users   []string `json:"users"`
	Replied bool     `json:"replied_user"`
}

type attached struct {
	ID   string `json:"id"`
	Name string `json:"filename"`
}

type reference struct {
	Message string `json:"message_id"`
	Channel string `json:"channel_id"`
	Fail    bool   `json:"fail_if_not_exists"`
}

func (p part) body(s sending) body {
	b := body{Content: p.Content, Embeds: p.Embeds, Components: p.Components, Allowed: allowed{Parse: []string{}, Users: []string{}}, Nonce: s.nonce, Enforce: s.nonce != "", Flags: p.Flags | s.flags}
	if b.Embeds == nil {
		b.Embeds = []*discordgo.MessageEmbed{}
	}
	if b.Components == nil {
		b.Components = []discordgo.MessageComponent{}
	}
	if s.asker != "" && p.Ping {
		b.Allowed.Users = append(b.Allowed.Users, s.asker)
	}
	if s.to != "" && s.first && !p.InThread {
		b.Reference = &reference{Message: s.to, Channel: s.channel}
	}
	if len(p.Files) > 0 {
		b.Files = &[]attached{}
		for i, f := range p.Files {
			*b.Files = append(*b.Files, attached{strconv.Itoa(i), f.Name})
		}
	}
	return b
}

// seal makes a part ready to be kept and sent.
func (p part) seal(s sending) (sealed, error) {
	data, err := json.Marshal(p.body(s))
	return sealed{Body: data, Files: p.Files, Thread: p.Thread, InThread: p.InThread}, err
}

func (s sealed) files() []*discordgo.File {
	var out []*discordgo.File
	for _, f := range s.Files {
		out = append(out, &discordgo.File{Name: f.Name, ContentType: f.Type, Reader: bytes.NewReader(f.Data)})
	}
	return out
}

func wireStatus(err error) int { return wire.Status(err) }

// stands is a message as the platform says that it stands.
type stands struct {
	ID     string            `json:"id"`
	Embeds []json.RawMessage `json:"embeds"`
}

// bald reports whether cards were dropped, as the platform does without a word where
// the bot may not embed.
func (m stands) bald(cards bool) bool { return cards && m.ID != "" && len(m.Embeds) == 0 }

// send sends one message; a nonce keeps it from appearing twice. bald: without its cards.
func (a *Adapter) send(ctx context.Context, channel string, s sealed) (id string, bald bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	var m stands
	err = a.rest.DoFiles(wire.Repeatable(ctx), http.MethodPost, "/channels/"+channel+"/messages", s.Body, s.files(), &m)
	if wire.Code(err) == codeNoReply && s.replies() { // it may not read the history there
		err = a.rest.DoFiles(wire.Repeatable(ctx), http.MethodPost, "/channels/"+channel+"/messages", s.alone().Body, s.files(), &m)
	}
	return m.ID, err == nil && m.bald(bytes.Contains(s.Body, []byte(`"embeds":[{`))), err
}

// Codes of refusals that another form of the answer may get past.
const (
	codeNoPermission = 50013
	codeTooLarge     = 40005
	codeNoReply      = 160002
	codeEmpty        = 50006
)

// fancy reports whether an answer without cards and files may go where this one was refused.
func fancy(err error) bool {
	return wire.Code(err) == codeNoPermission || wire.Code(err) == codeTooLarge || wireStatus(err) == http.StatusRequestEntityTooLarge
}

func (s sealed) replies() bool { return bytes.Contains(s.Body, []byte(`"message_reference":`)) }

// alone is the message without what it replies to.
func (s sealed) alone() sealed {
	var b map[string]json.RawMessage
	if json.Unmarshal(s.Body, &b) != nil {
		return s
	}
	delete(b, "message_reference")
	if data, err := json.Marshal(b); err == nil {
		s.Body = data
	}
	return s
}

// final reports whether sending again can't help.
func final(err error) bool {
	s := wireStatus(err)
	return s >= 400 && s < 500 && s != http.StatusTooManyRequests
}

// out sends a sealed answer. What can't go out now is tried again later, as long
// as somebody may still want it.
func (a *Adapter) out(ctx context.Context, id uint64, r record) bool {
	r.Replies = nil
	thread := ""
	for i := 0; i < len(r.Parts); i++ {
		s, channel := r.Parts[i], r.Channel
		if s.InThread && thread != "" {
			channel = thread
		}
		m, bald, err := a.send(ctx, channel, s)
		switch {
		case err == nil && !bald:
			if s.Thread != "" && thread == "" {
				thread = a.thread(ctx, channel, m, s.Thread)
			}
			r.Replies = append(r.Replies, replyAt(r.Channel, channel, m))
			continue
		case ctx.Err() != nil || errors.Is(err, wire.ErrToken):
			return false
		case final(err) && channel != r.Channel: // not in the thread: beside its message then
			thread = ""
			i--
			continue
		case len(r.Bare) > 0 && (bald || fancy(err)):
			if bald {
				r.Replies = append(r.Replies, replyAt(r.Channel, channel, m))
			}
			a.takeBack(ctx, r)
			a.bare(r.Channel)
			return a.out(ctx, id, a.barely(id, r))
		case err == nil: // without its cards; there is no other form of it
			r.Replies = append(r.Replies, replyAt(r.Channel, channel, m))
			continue
		case final(err):
			a.refused(r.Channel, err)
			a.mem.sent(id, r)
			return false
		}
		a.log.Warn("an answer could not be sent; it is tried again", "channel", r.Channel, "err", err)
		a.count.Count("send again")
		a.aside.Go(func() {
			if pause(a.work, 3*time.Second) {
				a.lanes.add(r.Channel, item{id: id, run: func(ctx context.Context) { a.resend(ctx, id) }})
			}
		})
		return false
	}
	a.mem.sent(id, r)
	return true
}

// replyAt is how a record names a message of its answer.
func replyAt(home, channel, m string) string {
	if channel != home {
		return channel + "/" + m
	}
	return m
}

// barely is the answer as plain words, kept as what is about to be sent.
func (a *Adapter) barely(id uint64, r record) record {
	r.Parts, r.Bare, r.Replies = r.Bare, nil, nil
	if err := a.mem.seal(id, r); err != nil {
		a.log.Warn("a plain answer could not be kept; it is sent nevertheless", "err", err)
	}
	return r
}

// takeBack deletes what stands of an answer.
func (a *Adapter) takeBack(ctx context.Context, r record) {
	for i := range r.Replies {
		at, m := standing(&r, i)
		if err := a.rest.Do(ctx, http.MethodDelete, "/channels/"+at+"/messages/"+m, nil, nil); err != nil && wireStatus(err) != http.StatusNotFound {
			a.log.Warn("an answer could not be taken back", "channel", r.Channel, "err", err)
		}
	}
}

// bareFor is how long a channel gets plain words after it took no cards or files.
const bareFor = time.Hour

// bare notes that a channel takes no cards or files.
func (a *Adapter) bare(channel string) {
	a.log.Warn("a channel takes no cards or files, it gets plain words: give the bot's role Embed Links and Attach Files there", "channel", channel)
	a.count.Count("plain words")
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.bald) >= 1000 {
		clear(a.bald)
	}
	a.bald[channel] = a.o.Now()
}

// isBare reports whether a channel took no cards or files a while ago.
func (a *Adapter) isBare(channel string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	at, ok := a.bald[channel]
	return ok && a.o.Now().Sub(at) < bareFor
}

// thread opens a thread on a message; "" where there can be none: what would
// stand in it stands beside the message then.
func (a *Adapter) thread(ctx context.Context, channel, m, name string) string {
	err := a.rest.Do(wire.Repeatable(ctx), http.MethodPost, "/channels/"+channel+"/messages/"+m+"/threads", map[string]any{"name": name, "auto_archive_duration": 1440}, nil)
	if err != nil && wire.Code(err) != 160004 {
		a.log.Warn("a thread could not be opened; give the bot's role Create Public Threads", "channel", channel, "err", err)
		return ""
	}
	return m // a thread has the id of its message
}

// standing is where a reply of a record stands.
func standing(r *record, i int) (channel, id string) {
	if c, m, ok := strings.Cut(r.Replies[i], "/"); ok {
		return c, m
	}
	return r.Channel, r.Replies[i]
}

// resend sends an answer that may not be out.
func (a *Adapter) resend(ctx context.Context, id uint64) {
	defer a.survive("an answer")
	r, ok := a.mem.get(id)
	if !ok || len(r.Parts) == 0 {
		return
	}
	if a.o.Now().Sub(made(id)) > missedFor+time.Minute {
		a.log.Warn("an answer could not be sent in ten minutes and is dropped", "channel", r.Channel)
		a.mem.sent(id, r)
		return
	}
	a.out(ctx, id, r)
}

// refused says why a channel takes no answer.
func (a *Adapter) refused(channel string, err error) {
	what := "the platform refuses an answer"
	switch wire.Code(err) {
	case 50001:
		what = "the bot may not see a channel: give its role View Channels there"
	case 50013:
		what = "the bot may not write in a channel: give its role Send Messages (in threads: Send Messages in Threads), Embed Links and Attach Files there"
	case 50007:
		what = "somebody takes no direct messages"
	case 160002:
		what = "the bot may not reply in a channel: give its role Read Message History there"
	}
	a.count.Count("refused answer")
	a.log.Warn(what, "channel", channel, "err", err)
}

// put puts other parts in place of an answer's messages.
// bare are the same as plain words, for a channel that takes no cards or files.
func (a *Adapter) put(ctx context.Context, channel, asker string, r *record, parts, bare []part) bool {
	var replies []string
	thread := ""
	for i, p := range parts {
		if i >= len(r.Replies) {
			s, err := p.seal(sending{nonce: nonceOf(fmt.Sprint(r.Replies, i, r.Text)), asker: asker, channel: channel})
			if err != nil {
				return false
			}
			at := channel
			if p.InThread && thread != "" {
				at = thread
			}
			id, bald, err := a.send(ctx, at, s)
			if at != channel && err != nil && final(err) { // not in the thread: beside its message then
				thread, at = "", channel
				id, bald, err = a.send(ctx, at, s)
			}
			if bald || err != nil && fancy(err) {
				if id != "" {
					replies = append(replies, replyAt(channel, at, id))
				}
				if r.Replies = replies; len(bare) > 0 {
					a.bare(channel)
					return a.put(ctx, channel, asker, r, bare, nil)
				}
			}
			if err != nil {
				a.log.Warn("the rest of an answer could not be sent", "channel", channel, "err", err)
				break
			}
			if !bald {
				replies = append(replies, replyAt(channel, at, id))
			}
			continue
		}
		at, m := standing(r, i)
		b := p.body(sending{asker: asker})
		if b.Files == nil {
			b.Files = &[]attached{} // those of before go
		}
		s := sealed{Files: p.Files}
		var now stands
		err := a.rest.DoFiles(ctx, http.MethodPatch, "/channels/"+at+"/messages/"+m, b, s.files(), &now)
		if len(bare) > 0 && (err == nil && now.bald(len(p.Embeds) > 0) || fancy(err) || err != nil && wire.Code(err) == codeEmpty && len(p.Embeds) > 0) {
			a.bare(channel)
			return a.put(ctx, channel, asker, r, bare, nil)
		}
		if err != nil {
			if ctx.Err() == nil && wireStatus(err) != http.StatusNotFound {
				a.log.Warn("an answer could not be changed", "channel", channel, "err", err)
			}
			return false
		}
		replies = append(replies, r.Replies[i])
		if p.Thread != "" && i+1 < len(parts) && len(r.Replies) == 1 {
			thread = a.thread(ctx, at, m, p.Thread)
		}
	}
	for i := len(parts); i < len(r.Replies); i++ {
		at, m := standing(r, i)
		if err := a.rest.Do(ctx, http.MethodDelete, "/channels/"+at+"/messages/"+m, nil, nil); err != nil {
			a.log.Warn("the rest of an answer could not be taken back", "channel", channel, "err", err)
		}
	}
	r.Replies = replies
	return true
}

// remark adds a line to an answer, once.
func (a *Adapter) remark(ctx context.Context, r record, line string) {
	at, id := standing(&r, 0)
	path := "/channels/" + at + "/messages/" + id
	var m struct {
		Content string `json:"content"`
	}
	if err := a.rest.Do(ctx, http.MethodGet, path, nil, &m); err != nil || strings.Contains(m.Content, line) || len(m.Content)+len(line) > 1900 {
		return
	}
	err := a.rest.Do(ctx, http.MethodPatch, path, map[string]any{"content": strings.TrimSpace(m.Content + "\n" + line), "allowed_mentions": allowed{Parse: []string{}, Users: []string{}}}, nil)
	if err != nil {
		a.log.Warn("an answer could not be changed", "channel", r.Channel, "err", err)
	}
}

// nonceOf makes a nonce of anything.
func nonceOf(s string) string {
	sum := sha256.Sum256([]byte(s))
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(sum[:]))[:24]
}

// Voice says what nobody asked for just now, for one house.
type Voice struct {
	a *Adapter
	h *House
}

var _ bot.Announcer = Voice{}

// Voice is the voice of a house.
func (a *Adapter) Voice(house string) Voice {
	for i := range a.o.Houses {
		if a.o.Houses[i].ID == house {
			return Voice{a, &a.o.Houses[i]}
		}
	}
	return Voice{a, nil}
}

// Serves reports whether a channel is one of the platform's.
func (Voice) Serves(channel string) bool { return number(channel) != 0 }

// Say implements [bot.Speaker]: it says a text in a channel, one id once.
func (v Voice) Say(ctx context.Context, channel, text, id string) error {
	return v.send(ctx, channel, v.a.notice(v.h, text), nil, "", id)
}

// Announce implements [bot.Announcer]: it rings who the notice is for.
func (v Voice) Announce(ctx context.Context, channel string, r bot.Reply, who bot.AuthorID, id string) error {
	asker := string(who)
	if number(asker) == 0 {
		asker = "" // set at the terminal
	}
	parts, bare := v.a.announced(v.h, &r, asker, channel)
	return v.send(ctx, channel, parts, bare, asker, id)
}

func (v Voice) send(ctx context.Context, channel string, parts, bare []part, asker, id string) error {
	a := v.a
	a.mu.Lock()
	up := a.up
	a.mu.Unlock()
	if !up || a.stop.Load() {
		return errors.New("the channel is not connected")
	}
	if _, done := a.mem.said(id); done {
		return nil
	}
	first := ""
	for i, p := range parts {
		s, err := p.seal(sending{nonce: nonceOf(fmt.Sprint(id, " ", i)), channel: channel, asker: asker})
		if err != nil {
			return err
		}
		m, bald, err := a.send(ctx, channel, s)
		if len(bare) > 0 && (bald || fancy(err)) {
			a.bare(channel)
			if m != "" {
				a.takeBack(ctx, record{Channel: channel, Replies: []string{m}})
			}
			if err := v.send(ctx, channel, bare, nil, asker, id+" plain"); err != nil {
				return err
			}
			return a.mem.say(id, "0")
		}
		if err != nil {
			if !final(err) {
				return err
			}
			a.refused(channel, err) // nobody will hear it there: it must not come back for ever
			m = "0"
		}
		if i == 0 {
			first = m
		}
	}
	return a.mem.say(id, first)
}
