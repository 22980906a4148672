package discord

import (
	"context"
	"fmt"
	"hash/fnv"
	"net/http"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"tamis/bot"
	"tamis/bot/discord/look"
	"tamis/kb/store"
)

// asked is a message that addresses us.
type asked struct {
	m    message
	way  string
	came time.Time
	back bool // found by looking back
}

// The ways a message is asked.
const (
	wayMention = "mention"
	wayDirect  = "direct"
	wayOpen    = "open"
	wayQuiet   = "quiet reply" // to us, without a ping: it can't be read
	wayEdit    = "edit"
	wayCommand = "command"
	wayEntry   = "entry"
	wayButton  = "button"
	wayForm    = "form"
)

// addressed is how a message addresses us; "": not at all.
func (a *Adapter) addressed(m *message) string {
	text := ""
	if m.Content != nil {
		text = *m.Content
	}
	switch {
	case m.Author == nil || m.Author.Bot || m.Author.System || m.Author.ID == a.me || m.Webhook != "" || m.Type != 0 && m.Type != 19:
		return ""
	case m.Guild == "":
		return wayDirect
	case strings.Contains(text, "<@"+a.me+">") || strings.Contains(text, "<@!"+a.me+">") || slices.ContainsFunc(m.Mentions, func(u user) bool { return u.ID == a.me }):
		return wayMention
	}
	toUs := m.Referenced != nil && m.Referenced.Author != nil && m.Referenced.Author.ID == a.me
	if h := a.houseOf(m.Guild); a.content && h != nil && (slices.Contains(h.Open, m.Channel) || slices.Contains(h.Open, a.parent(m.Channel))) {
		if text != "" && (toUs || len(m.Mentions) == 0 && m.Reference == nil) {
			return wayOpen
		}
		return ""
	}
	switch {
	case toUs && text != "":
		return wayMention
	case toUs && len(m.Attachments) == 0:
		return wayQuiet
	}
	return ""
}

// heard takes a message; back: found by looking back.
func (a *Adapter) heard(m message, back bool) {
	id := number(m.ID)
	if id == 0 || number(m.Channel) == 0 || m.Author != nil && number(m.Author.ID) == 0 {
		a.count.Count("malformed event")
		return
	}
	way := a.addressed(&m)
	if way == "" {
		return
	}
	if !a.seen.add(m.ID) {
		if !back {
			a.count.Count("duplicate")
		}
		return
	}
	q := &asked{m: m, way: way, came: time.Now(), back: back}
	if !a.lanes.add(m.Channel, item{id: id, ask: q, run: func(ctx context.Context) { a.answer(ctx, q) }}) {
		a.seen.drop(m.ID)
		a.count.Count("too many waiting")
	}
}

// edited takes the new text of a message.
func (a *Adapter) edited(m message) {
	id := number(m.ID)
	if id == 0 || number(m.Channel) == 0 || m.Content == nil || m.Author != nil && (m.Author.Bot || m.Author.ID == a.me) {
		return
	}
	if a.lanes.waiting(m.Channel, m.ID, func(q *asked) bool { q.m.Content = m.Content; return false }) {
		return
	}
	if _, known := a.mem.get(id); !known && !a.seen.has(m.ID) {
		if m.Edited != nil && a.o.Now().Sub(made(id)) < missedFor {
			a.heard(m, false)
		}
		return
	}
	if m.Author == nil || a.addressed(&m) == "" {
		return
	}
	q := &asked{m: m, way: wayEdit, came: time.Now()}
	if a.lanes.renew(m.Channel, q) {
		return
	}
	a.lanes.add(m.Channel, item{id: id, new: q, run: func(ctx context.Context) { a.again(ctx, q) }})
}

// removed takes back what answers a message that was deleted.
func (a *Adapter) removed(channel, id string) {
	n := number(id)
	if n == 0 || number(channel) == 0 {
		return
	}
	known := !a.seen.add(id)
	if a.lanes.waiting(channel, id, func(*asked) bool { return true }) {
		return
	}
	if _, ok := a.mem.get(n); !ok && !known {
		return
	}
	a.lanes.add(channel, item{id: n, run: func(ctx context.Context) {
		r, ok := a.mem.get(n)
		if !ok {
			return
		}
		a.takeBack(ctx, r)
		r.Replies = nil
		a.mem.sent(n, r)
	}})
}

// textOf is what a message says to us.
func (a *Adapter) textOf(m *message) string {
	if m.Content == nil {
		return ""
	}
	text := strings.NewReplacer("<@"+a.me+">", " ", "<@!"+a.me+">", " ").Replace(*m.Content)
	return strings.TrimSpace(text)
}

func hashOf(text string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(text))
	return h.Sum64()
}

// worked is what an answer comes to.
type worked struct {
	house *House
	reply bot.Reply
	parts []part
	bare  []part // the same without cards and files; nil: there are none
	quiet bool   // of use to nobody but who asked
	acted bool   // the book or the timers have changed
}

// mostAsking is how long one answer may take.
const mostAsking = 30 * time.Second

// ask works an answer out; v tells who asks, where.
func (a *Adapter) ask(ctx context.Context, v visitor, channel, text string, at time.Time, inPlace bool) (w worked) {
	w.house = v.house
	if v.say != "" {
		w.parts, w.quiet = a.plain(v.house, v.say), true
		return w
	}
	ctx, cancel := context.WithTimeout(ctx, mostAsking)
	defer cancel()
	select {
	case a.asking <- struct{}{}:
		defer func() { <-a.asking }()
	case <-ctx.Done():
	}
	role, err := a.role(ctx, v.house, v.who, v.roles)
	if err == nil {
		w.reply, err = a.safely(ctx, v.house, bot.Message{Conversation: bot.ConversationID(channel + " " + v.who), Author: bot.AuthorID(v.who), Role: role,
			Channel: channel, At: at, Text: text, InPlace: inPlace, Anew: v.anew || v.pressed != nil, How: store.HowChannel})
	}
	if err != nil {
		a.log.Error("a question could not be answered", "house", v.house.ID, "err", err)
		a.count.Count("failed answer")
		w.parts, w.quiet = a.plain(v.house, a.say(v.house, "failed")), true
		return w
	}
	w.finish(a, v, channel, text)
	a.mark(channel+" "+v.who, look.Mark(&w.reply))
	return w
}

// finish lays a reply out.
func (w *worked) finish(a *Adapter, v visitor, channel, text string) {
	r := &w.reply
	w.acted = r.Answer != nil && (r.Begun != nil || r.About == "change" || r.Question != nil && r.Question.IsWork())
	w.parts, w.bare = a.render(r, v, channel, text)
	w.quiet = slices.ContainsFunc(w.parts, func(p part) bool { return p.Private })
}

// safely asks and turns a panic into an error: one bad message must not end the rest.
func (a *Adapter) safely(ctx context.Context, h *House, m bot.Message) (r bot.Reply, err error) {
	defer func() {
		if p := recover(); p != nil {
			a.count.Count("panic")
			err = fmt.Errorf("answering panicked: %v\n%s", p, debug.Stack())
		}
	}()
	return h.Asker.Ask(ctx, m)
}

// answer answers a message, once.
func (a *Adapter) answer(ctx context.Context, q *asked) {
	defer a.survive("a message")
	id := number(q.m.ID)
	if r, known := a.mem.get(id); known {
		if len(r.Parts) > 0 {
			a.resend(ctx, id)
		}
		return
	}
	a.touch(q.m.Channel)
	w, text := a.think(ctx, q)
	if ctx.Err() != nil {
		return // it is caught up with
	}
	r := record{Channel: q.m.Channel, User: q.m.Author.ID, Text: hashOf(text), Acted: w.acted}
	var err error
	if r.Parts, err = sealAll(w.parts, q, "-"); err == nil {
		r.Bare, err = sealAll(w.bare, q, "-b")
	}
	if err != nil {
		a.log.Error("an answer could not be written", "err", err)
		return
	}
	if err := a.mem.seal(id, r); err != nil {
		if ctx.Err() != nil {
			return
		}
		a.log.Error("what is answered could not be kept; it is answered nevertheless", "err", err)
	}
	if q.m.Guild == "" {
		if err := a.mem.talk(q.m.Channel, a.o.Now()); err != nil {
			a.log.Warn("a direct talk could not be kept", "err", err)
		}
	}
	if a.out(ctx, id, r) {
		a.count.Answered(q.way, time.Since(q.came))
		a.improve(id, w, q, text)
	}
}

func sealAll(parts []part, q *asked, nonce string) (out []sealed, err error) {
	for i, p := range parts {
		s, err := p.seal(sending{nonce: fmt.Sprint(q.m.ID, nonce, i), asker: q.m.Author.ID, channel: q.m.Channel, to: q.m.ID, first: i == 0})
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
}

// think works out what answers a message.
func (a *Adapter) think(ctx context.Context, q *asked) (worked, string) {
	text := a.textOf(&q.m)
	if q.way == wayQuiet {
		h := a.houseOf(q.m.Guild)
		return worked{parts: a.plain(h, a.say(h, "unreadable reply"))}, text
	}
	typing := time.AfterFunc(a.o.Patience, func() { // people see that it is being worked on
		if a.work.Err() == nil {
			_ = a.rest.Do(ctx, http.MethodPost, "/channels/"+q.m.Channel+"/typing", nil, nil) // a courtesy
		}
	})
	defer typing.Stop()
	var roles []string
	if q.m.Member != nil {
		roles = q.m.Member.Roles
	}
	if q.m.Guild != "" && (q.m.Member == nil || time.Since(q.came) > stale) {
		roles = a.rolesNow(ctx, q.m.Guild, q.m.Author.ID)
	}
	v, err := a.visit(ctx, q.m.Guild, q.m.Author.ID, roles, text)
	if err != nil {
		if ctx.Err() == nil {
			a.log.Error("where somebody belongs could not be asked", "err", err)
		}
		v.say = a.say(nil, "failed")
	}
	full, complaint := a.withFiles(ctx, v.house, text, q.m.Attachments)
	if complaint != "" && v.say == "" {
		v.say = complaint
	}
	if full == "" {
		full = "help"
	}
	at := a.o.Now()
	if q.back {
		at = made(number(q.m.ID))
	}
	return a.ask(ctx, v, q.m.Channel, full, at, true), text
}

func (a *Adapter) survive(what string) {
	if p := recover(); p != nil {
		a.count.Count("panic")
		a.log.Error("something went wrong with "+what, "panic", p, "stack", string(debug.Stack()))
	}
}

// again answers a question anew whose text has changed.
func (a *Adapter) again(ctx context.Context, q *asked) {
	defer a.survive("an edited message")
	id := number(q.m.ID)
	r, known := a.mem.get(id)
	if !known || len(r.Parts) > 0 || len(r.Replies) == 0 || r.Text == hashOf(a.textOf(&q.m)) {
		return
	}
	if r.Acted { // what is done is not done twice, nor undone
		a.remark(ctx, r, a.say(a.houseOf(q.m.Guild), "edited late"))
		return
	}
	w, text := a.think(ctx, q)
	if ctx.Err() != nil {
		return
	}
	r.Text, r.Acted = hashOf(text), w.acted
	if a.put(ctx, q.m.Channel, q.m.Author.ID, &r, w.parts, w.bare) {
		a.mem.sent(id, r)
		a.count.Answered(wayEdit, time.Since(q.came))
		a.improve(id, w, q, text)
	}
}

// worded waits aside for a model's wording and hands the reply with it on.
func (a *Adapter) worded(w worked, then func(ctx context.Context, w worked)) {
	if w.reply.Better == nil {
		return
	}
	select {
	case a.better <- struct{}{}:
	default:
		return // so many are waited for that the plain words stay
	}
	a.aside.Go(func() {
		defer func() { <-a.better }()
		defer a.survive("a wording")
		ctx, cancel := context.WithTimeout(a.work, mostAsking)
		defer cancel()
		better, ok := w.reply.Better(ctx)
		if !ok {
			return
		}
		w.reply = better
		then(ctx, w)
	})
}

// improve puts a model's wording in place of the reply, in the channel's turn.
func (a *Adapter) improve(id uint64, w worked, q *asked, text string) {
	a.worded(w, func(_ context.Context, w worked) {
		w.finish(a, visitor{house: w.house, who: q.m.Author.ID}, q.m.Channel, text)
		a.lanes.add(q.m.Channel, item{id: id, run: func(ctx context.Context) {
			if r, known := a.mem.get(id); known && r.Text == hashOf(text) && len(r.Replies) > 0 {
				if a.put(ctx, q.m.Channel, q.m.Author.ID, &r, w.parts, w.bare) {
					a.mem.sent(id, r)
				}
			}
		}})
	})
}
