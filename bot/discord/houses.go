package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"tamis/bot"
	"tamis/bot/discord/look"
)

// checkHouses holds that each server has one house.
func checkHouses(hs []House) error {
	if len(hs) == 0 {
		return errors.New("there is no house to answer for")
	}
	of := map[string]string{}
	rest := ""
	for _, h := range hs {
		if h.Asker == nil || h.ID == "" {
			return errors.New("a house without a name or a book")
		}
		if len(h.Guilds) == 0 {
			if rest != "" {
				return fmt.Errorf("the houses %s and %s name no server: only one house may stand for all the others", rest, h.ID)
			}
			rest = h.ID
		}
		for _, g := range h.Guilds {
			if number(g) == 0 {
				return fmt.Errorf("%s names the server %q, which is no id (digits only)", h.ID, g)
			}
			if of[g] != "" {
				return fmt.Errorf("the server %s is given to %s and to %s", g, of[g], h.ID)
			}
			of[g] = h.ID
		}
		for _, c := range h.Open {
			if number(c) == 0 {
				return fmt.Errorf("%s marks the channel %q, which is no id (digits only)", h.ID, c)
			}
		}
	}
	return nil
}

func (a *Adapter) wantsContent() bool {
	return slices.ContainsFunc(a.o.Houses, func(h House) bool { return len(h.Open) > 0 })
}

// houseOf is the house of a server; nil: none.
func (a *Adapter) houseOf(guild string) *House {
	var rest *House
	for i := range a.o.Houses {
		h := &a.o.Houses[i]
		if slices.Contains(h.Guilds, guild) {
			return h
		}
		if len(h.Guilds) == 0 {
			rest = h
		}
	}
	return rest
}

// servers are those of a house that the bot is in.
func (a *Adapter) servers(h *House) []string {
	if len(h.Guilds) > 0 {
		return h.Guilds
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	var out []string
	for id := range a.guilds {
		if !slices.ContainsFunc(a.o.Houses, func(o House) bool { return slices.Contains(o.Guilds, id) }) {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

// mostServers is how many servers of a house are asked for a member.
const mostServers = 10

// theirs finds the houses that a person belongs to, with the roles there, as they
// are just now.
func (a *Adapter) theirs(ctx context.Context, who string) (houses []*House, roles [][]string, err error) {
	for i := range a.o.Houses {
		h := &a.o.Houses[i]
		for _, g := range a.servers(h)[:min(len(a.servers(h)), mostServers)] {
			var m member
			e := a.rest.Do(ctx, http.MethodGet, "/guilds/"+g+"/members/"+who, nil, &m)
			if e == nil {
				houses, roles = append(houses, h), append(roles, m.Roles)
				break
			}
			if s := wireStatus(e); s != http.StatusNotFound && s != http.StatusForbidden {
				err = e
			}
		}
	}
	if len(houses) > 0 {
		err = nil
	}
	return houses, roles, err
}

// role is what somebody is in a house at this moment: the first role of the
// team that names the account or one of its roles on the server.
func (a *Adapter) role(ctx context.Context, h *House, who string, roles []string) (bot.Role, error) {
	b, err := h.Asker.Book(ctx)
	if err != nil {
		return "", err
	}
	for _, r := range b.Snap.House.Team {
		if slices.Contains(r.Members, who) || slices.ContainsFunc(roles, func(id string) bool { return slices.Contains(r.Members, id) }) {
			return bot.Role(r.Name), nil
		}
	}
	return bot.Commis, nil
}

// stale is how old the roles may be that came with what somebody does: what has
// waited for its turn longer is done with those of now.
const stale = 500 * time.Millisecond

// known are somebody's roles at a moment.
type known struct {
	roles []string
	at    time.Time
}

// rolesNow are somebody's roles on a server as they are now; none where that can't be
// found out. One who hammers is not asked for each time.
func (a *Adapter) rolesNow(ctx context.Context, guild, who string) []string {
	key, now := guild+" "+who, time.Now()
	a.mu.Lock()
	k, ok := a.known[key]
	a.mu.Unlock()
	if ok && now.Sub(k.at) < stale {
		return k.roles
	}
	var m member
	if err := a.rest.Do(ctx, http.MethodGet, "/guilds/"+guild+"/members/"+who, nil, &m); err != nil {
		if ctx.Err() == nil && wireStatus(err) != http.StatusNotFound {
			a.log.Warn("somebody's roles could not be asked for; they act without", "err", err)
		}
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.known) >= 1000 {
		clear(a.known)
	}
	a.known[key] = known{m.Roles, now}
	return m.Roles
}

// visitor is somebody who asks, and where they belong.
type visitor struct {
	house *House
	who   string
	roles []string
	say   string // what to say instead of an answer; "": answer

	interaction bool      // by a command, a button or a form
	anew        bool      // says all that is meant: nothing goes on from the talk
	pressed     *look.Act // the button that asks; nil: none of a recipe
}

// visit finds the house of somebody who writes in a server or in a direct talk.
func (a *Adapter) visit(ctx context.Context, guild, who string, roles []string, text string) (visitor, error) {
	v := visitor{who: who, roles: roles}
	if guild != "" {
		if v.house = a.houseOf(guild); v.house == nil {
			v.say = a.say(nil, "no house")
		}
		return v, nil
	}
	houses, theirs, err := a.theirs(ctx, who)
	switch {
	case err != nil:
		return v, err
	case len(houses) == 0:
		v.say = a.say(nil, "stranger")
		return v, nil
	case len(houses) == 1:
		v.house, v.roles = houses[0], theirs[0]
		return v, nil
	}
	var names []string
	chosen := a.mem.kept("house of " + who)
	named := ""
	if first, rest, ok := strings.Cut(strings.TrimSpace(text), " "); ok && strings.EqualFold(first, "house") {
		named = strings.TrimSpace(rest)
	}
	for i, h := range houses {
		name := h.ID
		if b, err := h.Asker.Book(ctx); err == nil && b.Snap.House.Name != "" {
			name = b.Snap.House.Name
		}
		names = append(names, name)
		if named != "" && (strings.EqualFold(named, name) || named == h.ID) {
			v.say = a.say(h, "house chosen", name)
			return v, a.mem.keep("house of "+who, h.ID)
		}
		if named == "" && h.ID == chosen {
			v.house, v.roles = h, theirs[i]
		}
	}
	if v.house == nil {
		v.say = a.say(nil, "which house", strings.Join(names, ", "))
	}
	return v, nil
}
