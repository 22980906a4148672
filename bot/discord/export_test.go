package discord

import (
	"slices"

	"github.com/bwmarrin/discordgo"
)

// AddEntry adds a command with one option, as what comes later is added: what it asks
// is before and what was typed.
func (a *Adapter) AddEntry(name, about, option, before string) {
	a.entries = append(slices.Clone(a.entries), entry{name: name, about: about, options: []*discordgo.ApplicationCommandOption{textOption(option, about, false)},
		words: func(_ *Adapter, it *interaction) (string, []attachment, string) {
			return before + " " + it.option(option), nil, ""
		}})
}

// Abort ends the adapter at once, as a machine does that loses its power.
func (a *Adapter) Abort() {
	a.stop.Store(true)
	a.mem.abandon()
	a.abandon(errAbandoned)
}

// Waiting is how many things wait in a channel for their turn.
func (a *Adapter) Waiting(channel string) int {
	a.lanes.mu.Lock()
	defer a.lanes.mu.Unlock()
	if x := a.lanes.lanes[channel]; x != nil {
		return len(x.items)
	}
	return 0
}
