package discord

import (
	"slices"

	"github.com/bwmarrin/discordgo"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/look"
	"tamis/bot/reply"
)

// look is how a house's replies are laid out; nil: in the adapter's own words.
func (a *Adapter) look(h *House) *look.Look { return look.New(a.key(h), a.wordsOf(h)) }

func (a *Adapter) key(h *House) look.Key {
	if h == nil {
		return look.NewKey(a.sign, "")
	}
	return look.NewKey(a.sign, h.ID)
}

// wordsOf are the words of a house's language.
func (a *Adapter) wordsOf(h *House) *reply.Words {
	language := "en"
	if h != nil {
		if b, err := h.Asker.Book(a.work); err == nil && b.Snap.House.Language != "" {
			language = b.Snap.House.Language
		}
	}
	return a.words.In(language)
}

// say is a message of the catalogue in a house's language.
func (a *Adapter) say(h *House, code string, args ...string) string {
	return a.wordsOf(h).Say(answer.Phrase{Code: "channel " + code, Args: args})
}

// render lays a reply out for who asked, where; bare is the same without cards and
// files, nil where there are none.
func (a *Adapter) render(r *bot.Reply, v visitor, channel, text string) (parts, bare []part) {
	o := look.Options{Asker: v.who, Asked: text, Interaction: v.interaction, Threads: !v.interaction && a.takesThreads(channel), Pressed: v.pressed, Now: a.o.Now()}
	return a.both(v.house, r, o, !v.interaction && a.isBare(channel)) // answers to interactions may always have both
}

// both are a reply's parts, and the same as plain words where they are not yet.
func (a *Adapter) both(h *House, r *bot.Reply, o look.Options, plain bool) (parts, bare []part) {
	l := a.look(h)
	o.NoCards, o.NoFiles = plain, plain
	parts = partsOf(l.Render(r, o))
	if slices.ContainsFunc(parts, func(p part) bool { return len(p.Embeds)+len(p.Files) > 0 }) {
		o.NoCards, o.NoFiles = true, true
		bare = partsOf(l.Render(r, o))
	}
	return parts, bare
}

// plain lays out words of the adapter's own.
func (a *Adapter) plain(h *House, text string) []part {
	return partsOf(a.look(h).Text(text, look.Options{}))
}

// announced lays out a notice of running work, with the mention of whose it is.
func (a *Adapter) announced(h *House, r *bot.Reply, who, channel string) (parts, bare []part) {
	return a.both(h, r, look.Options{Asker: who, Mention: who != "", Now: a.o.Now()}, a.isBare(channel))
}

// notice lays out what nobody asked for just now, with what one does about it.
func (a *Adapter) notice(h *House, text string) []part {
	parts := a.plain(h, text)
	words, key := a.wordsOf(h), a.key(h)
	var row []discordgo.MessageComponent
	for _, b := range []struct {
		code  string
		style discordgo.ButtonStyle
		do    look.Do
	}{
		{"button taken", discordgo.PrimaryButton, look.DoTaken}, {"button later", discordgo.SecondaryButton, look.DoLater}, {"button ready", discordgo.SecondaryButton, look.DoReady},
	} {
		if id, ok := look.Button(key, look.Act{Do: b.do}); ok {
			row = append(row, discordgo.Button{Label: words.Say(answer.Phrase{Code: b.code}), Style: b.style, CustomID: id})
		}
	}
	parts[len(parts)-1].Components = []discordgo.MessageComponent{discordgo.ActionsRow{Components: row}}
	return parts
}

func partsOf(ps []look.Part) []part {
	out := make([]part, 0, len(ps))
	for _, p := range ps {
		q := part{Content: p.Content, Embeds: p.Embeds, Components: p.Components, Thread: p.Thread, InThread: p.Where == look.Thread,
			Private: p.Flags&discordgo.MessageFlagsEphemeral != 0, Flags: p.Flags &^ discordgo.MessageFlagsEphemeral, Ping: p.Mentions != nil && len(p.Mentions.Users) > 0}
		for _, f := range p.Files {
			q.Files = append(q.Files, file(f))
		}
		out = append(out, q)
	}
	return out
}
