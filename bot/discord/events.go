package discord

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"tamis/bot/discord/wire"
)

// guild is what is kept of a server.
type guild struct {
	name string
}

// place is what is kept of a channel or thread.
type place struct {
	guild, parent string
	kind          int
}

type channelEvent struct {
	ID     string          `json:"id"`
	Type   int             `json:"type"`
	Guild  string          `json:"guild_id"`
	Parent string          `json:"parent_id"`
	Last   json.RawMessage `json:"last_message_id"`
}

// since reports whether something was said in a channel after a moment's id; not
// told: perhaps.
func (c *channelEvent) since(id uint64) bool {
	switch c.Type {
	case 0, 5, 10, 11, 12: // text, announcements, threads
		return len(c.Last) == 0 || number(strings.Trim(string(c.Last), `"`)) >= id
	}
	return false
}

type guildEvent struct {
	ID          string         `json:"id"`
	Name        string         `json:"name"`
	Unavailable bool           `json:"unavailable"`
	Owner       string         `json:"owner_id"`
	Channels    []channelEvent `json:"channels"`
	Threads     []channelEvent `json:"threads"`
	Roles       []struct {
		ID          string `json:"id"`
		Permissions string `json:"permissions"`
	} `json:"roles"`
	Members []member `json:"members"`
}

// handle takes an event. It only decodes and puts into lanes: the session's
// heartbeats are answered behind it.
func (a *Adapter) handle(e wire.Event) {
	defer func() {
		if p := recover(); p != nil {
			a.log.Error("an event could not be taken", "event", e.Name, "panic", p)
			a.count.Count("panic")
		}
	}()
	if a.stop.Load() {
		return // what was not begun is caught up with at the next start
	}
	switch e.Name {
	case "READY":
		var talks []string
		if e.Shard == 0 {
			talks = a.mem.talks(a.o.Now())
			a.mu.Lock()
			for _, c := range talks {
				a.places[c] = &place{kind: 1}
			}
			a.mu.Unlock()
		}
		a.catchUpAll(talks, a.o.Now())
	case "RESUMED":
		a.catchUpAll(a.active(), a.o.Now())
	case "GUILD_CREATE":
		a.arrived(e)
	case "GUILD_DELETE":
		var g guildEvent
		if decode(e.Data, &g) == nil && !g.Unavailable {
			a.gone(g.ID)
		}
	case "CHANNEL_CREATE", "CHANNEL_UPDATE", "THREAD_CREATE", "THREAD_UPDATE":
		var c channelEvent
		if decode(e.Data, &c) == nil && c.ID != "" {
			a.mu.Lock()
			a.places[c.ID] = &place{c.Guild, c.Parent, c.Type}
			a.mu.Unlock()
		}
	case "CHANNEL_DELETE", "THREAD_DELETE":
		var c channelEvent
		if decode(e.Data, &c) == nil {
			a.mu.Lock()
			delete(a.places, c.ID)
			a.mu.Unlock()
		}
	case "MESSAGE_CREATE":
		var m message
		if err := decode(e.Data, &m); err != nil {
			a.count.Count("malformed event")
			return
		}
		a.heard(m, false)
	case "MESSAGE_UPDATE":
		var m message
		if decode(e.Data, &m) == nil {
			a.edited(m)
		}
	case "MESSAGE_DELETE":
		var m message
		if decode(e.Data, &m) == nil {
			a.removed(m.Channel, m.ID)
		}
	case "MESSAGE_DELETE_BULK":
		var b struct {
			IDs     []string `json:"ids"`
			Channel string   `json:"channel_id"`
		}
		if decode(e.Data, &b) == nil {
			for _, id := range b.IDs {
				a.removed(b.Channel, id)
			}
		}
	case "INTERACTION_CREATE":
		it := &interaction{came: time.Now()}
		if err := decode(e.Data, it); err != nil || !it.sound() {
			a.count.Count("malformed event")
			return
		}
		if !a.seen.add(it.ID) {
			a.count.Count("duplicate")
			return
		}
		a.interacted(it)
	}
}

func (a *Adapter) arrived(e wire.Event) {
	var g guildEvent
	if decode(e.Data, &g) != nil || g.ID == "" || g.Unavailable {
		return
	}
	now := a.o.Now()
	since := idAt(now.Add(-missedFor))
	var missed []string
	h := a.houseOf(g.ID) // who has none is told so when they ask, not for what they asked
	a.mu.Lock()
	_, known := a.guilds[g.ID]
	a.guilds[g.ID] = &guild{name: g.Name}
	for _, c := range slices.Concat(g.Channels, g.Threads) {
		a.places[c.ID] = &place{g.ID, c.Parent, c.Type}
		if h != nil && c.since(since) {
			missed = append(missed, c.ID)
		}
	}
	a.mu.Unlock()
	a.catchUp(missed, nil, now)
	if known {
		return
	}
	if h == nil {
		a.log.Warn("the bot is in a server that has no book here", "server", g.ID)
		return
	}
	a.log.Info("in a server", "server", g.ID, "house", h.ID)
	if lack := a.lacks(g); len(lack) > 0 {
		a.log.Warn("permissions are missing in a server; invite the bot again with the link, or give its role what is missing", "server", g.ID, "missing", strings.Join(lack, ", "), "link", Invite(a.app))
	}
}

// lacks are the permissions that the bot's roles do not give it in a server.
func (a *Adapter) lacks(g guildEvent) []string {
	i := slices.IndexFunc(g.Members, func(m member) bool { return m.User != nil && m.User.ID == a.me })
	if i < 0 || len(g.Roles) == 0 {
		return nil
	}
	var have uint64
	for _, r := range g.Roles {
		if r.ID == g.ID || slices.Contains(g.Members[i].Roles, r.ID) {
			have |= number(r.Permissions)
		}
	}
	if have&(1<<3) != 0 { // administrator
		return nil
	}
	var out []string
	for _, n := range needed {
		if have&(1<<n.bit) == 0 {
			out = append(out, n.name)
		}
	}
	return out
}

func (a *Adapter) gone(guild string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	delete(a.guilds, guild)
	for id, p := range a.places {
		if p.guild == guild {
			delete(a.places, id)
		}
	}
}

// parent is the channel that a thread is in.
func (a *Adapter) parent(channel string) string {
	a.mu.Lock()
	defer a.mu.Unlock()
	if p := a.places[channel]; p != nil {
		return p.parent
	}
	return ""
}

// takesThreads reports whether a thread may be opened on a message of a channel.
func (a *Adapter) takesThreads(channel string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	p := a.places[channel]
	return p != nil && (p.kind == 0 || p.kind == 5) // text and announcements
}
