package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord"
	gateway "tamis/bot/discord/wire"
)

// chat is the team's channel as the program serves it; nil where there is no token.
type chat struct {
	o    discord.Options
	open map[string][]string // channels by house

	guilds map[string][]string // servers by house
	rest   []string            // servers of the one house that there is

	mu      sync.Mutex
	adapter *discord.Adapter
}

// channel reads the settings of the channel.
func (p *program) channel(log *slog.Logger) (*chat, error) {
	token := p.getenv("TAMIS_DISCORD_TOKEN")
	if file := p.getenv("TAMIS_DISCORD_TOKEN_FILE"); token == "" && file != "" {
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("the token's file (TAMIS_DISCORD_TOKEN_FILE): %w", err)
		}
		if info, err := os.Stat(file); err == nil && info.Mode().Perm()&0o077 != 0 {
			log.Warn("the token's file can be read by other people of this machine; chmod 600 it", "file", file)
		}
		if token = strings.TrimSpace(string(data)); token == "" {
			return nil, fmt.Errorf("the token's file %s is empty", file)
		}
	}
	if token == "" {
		log.Info("no channel is connected: there is no token in TAMIS_DISCORD_TOKEN or TAMIS_DISCORD_TOKEN_FILE")
		return nil, nil
	}
	shards, err := gateway.ParseShards(p.getenv("TAMIS_DISCORD_SHARDS"))
	if err != nil {
		return nil, useError{fmt.Errorf("TAMIS_DISCORD_SHARDS: %w", err)}
	}
	c := &chat{o: discord.Options{Token: token, API: strings.TrimSuffix(p.getenv("TAMIS_DISCORD_API"), "/"), Shards: shards, Log: log}, guilds: map[string][]string{}, open: map[string][]string{}}
	if c.rest, err = assigned(p.getenv("TAMIS_DISCORD_GUILDS"), c.guilds); err != nil {
		return nil, useError{fmt.Errorf("TAMIS_DISCORD_GUILDS: %w", err)}
	}
	all, err := assigned(p.getenv("TAMIS_DISCORD_OPEN"), c.open)
	if err != nil {
		return nil, useError{fmt.Errorf("TAMIS_DISCORD_OPEN: %w", err)}
	}
	if len(all) > 0 {
		c.open[""] = all
	}
	return c, nil
}

// assigned reads "house=ID,ID; other=ID" into a map; ids without a house are
// returned: they are the only one's.
func assigned(text string, into map[string][]string) (alone []string, err error) {
	for part := range strings.SplitSeq(text, ";") {
		house, ids, named := strings.Cut(part, "=")
		if !named {
			house, ids = "", part
		}
		for id := range strings.SplitSeq(ids, ",") {
			if id = strings.TrimSpace(id); id == "" {
				continue
			}
			if !digits(id) {
				return nil, fmt.Errorf("%q is no id: ids are digits, several with commas, houses apart with semicolons: harbour=1234,5678; hill=9012", id)
			}
			if house = strings.TrimSpace(house); house == "" {
				alone = append(alone, id)
			} else {
				into[house] = append(into[house], id)
			}
		}
	}
	return alone, nil
}

func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// channelVoice says in the channel what nobody asked for just now; it is there
// before the channel is.
type channelVoice struct {
	c     *chat
	house string
}

// Serves implements [voice].
func (v channelVoice) Serves(channel string) bool { return digits(channel) }

// Say implements [bot.Speaker].
func (v channelVoice) Say(ctx context.Context, channel, text, id string) error {
	v.c.mu.Lock()
	a := v.c.adapter
	v.c.mu.Unlock()
	if a == nil {
		return errNobodyThere
	}
	return a.Voice(v.house).Say(ctx, channel, text, id)
}

// Announce implements [bot.Announcer].
func (v channelVoice) Announce(ctx context.Context, channel string, r bot.Reply, who bot.AuthorID, id string) error {
	v.c.mu.Lock()
	a := v.c.adapter
	v.c.mu.Unlock()
	if a == nil {
		return errNobodyThere
	}
	return a.Voice(v.house).Announce(ctx, channel, r, who, id)
}

// channelHouse is a house as the channel asks it.
type channelHouse struct{ *house }

// Book implements [discord.Asker].
func (h channelHouse) Book(ctx context.Context) (*answer.Book, error) { return h.asker.Book(ctx) }

// service connects the houses; dir is where the channel keeps what it answered.
func (c *chat) service(houses []*house, dir string, count *counters, log *slog.Logger) (service, error) {
	for _, h := range houses {
		d := discord.House{ID: h.id, Asker: channelHouse{h}, Guilds: c.guilds[h.id], Open: slices.Concat(c.open[h.id], c.open[""])}
		switch {
		case len(d.Guilds) > 0:
		case len(houses) == 1:
			d.Guilds = c.rest
			if len(d.Guilds) == 0 {
				log.Info("the book answers on every server that the bot is invited to; TAMIS_DISCORD_GUILDS names those it may")
			}
		case digits(h.id) && len(h.id) >= 15: // the folder is named by the server's id
			d.Guilds = []string{h.id}
		default:
			log.Warn("this house has no server and is not in the channel: name it in TAMIS_DISCORD_GUILDS", "house", h.id)
			continue
		}
		c.o.Houses = append(c.o.Houses, d)
	}
	for id := range c.guilds {
		if !slices.ContainsFunc(houses, func(h *house) bool { return h.id == id }) {
			return service{}, useError{fmt.Errorf("TAMIS_DISCORD_GUILDS names the house %q, which has no book", id)}
		}
	}
	c.o.Dir, c.o.Counter = dir, count
	a, err := discord.New(c.o)
	if err != nil && dir != "" && !errors.Is(err, os.ErrInvalid) && unwritable(dir) {
		log.Warn("What was answered cannot be kept: it is known only until the program ends.", "err", err)
		c.o.Dir = ""
		a, err = discord.New(c.o)
	}
	if err != nil {
		return service{}, fmt.Errorf("the channel: %w", err)
	}
	c.mu.Lock()
	c.adapter = a
	c.mu.Unlock()
	count.channel = a.Ready
	return service{"channel", a.Run}, nil
}

// unwritable reports whether a folder takes no files.
func unwritable(dir string) bool {
	f, err := os.CreateTemp(dir, ".try-")
	if err != nil {
		return true
	}
	_ = f.Close()
	return os.Remove(f.Name()) != nil
}

// channelFolder is where the channel keeps what it answered: beside the only
// book's log, or above those of several.
func (p *program) channelFolder(places map[string]place) string {
	if len(places) == 1 && (p.getenv("TAMIS_BOOKS") == "" || p.book != "") {
		for _, at := range places {
			return at.dataFolder()
		}
	}
	if data := p.getenv("TAMIS_DATA"); data != "" {
		return data
	}
	return filepath.Join(p.getenv("TAMIS_BOOKS"), ".tamis")
}
