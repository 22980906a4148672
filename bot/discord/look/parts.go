package look

import (
	"strconv"
	"strings"

	"github.com/bwmarrin/discordgo"

	"tamis/kb/name"
)

// parts puts pieces into messages: one where they fit, a thread or a file where
// they are long.
func (l *Look) parts(y layout, o Options) []Part {
	var out []Part
	add := func(where Where, p Part) {
		p.Where, p.Mentions = where, mentions(o, len(out) == 0)
		if strings.Contains(p.Content, "://") && len(p.Embeds) == 0 {
			p.Flags |= discordgo.MessageFlagsSuppressEmbeds
		}
		out = append(out, p)
	}
	call := ""
	if _, ok := snowflake(o.Asker); ok && o.Mention {
		call = "<@" + o.Asker + ">"
	}
	room := mostContent
	if call != "" {
		room -= units(call) + 1
	}
	var bodies []Part
	if y.card {
		for i, s := range pack(y.pieces, mostDescription) {
			e := &discordgo.MessageEmbed{Description: s}
			if i == 0 {
				e.Title = y.title
			}
			bodies = append(bodies, Part{Embeds: []*discordgo.MessageEmbed{e}})
		}
	} else {
		for _, s := range pack(y.pieces, room) {
			bodies = append(bodies, Part{Content: s})
		}
	}
	if len(bodies) == 0 { // a message can't be empty
		bodies = []Part{{Content: "…"}}
	}
	long := len(bodies) > 1 || len(y.pieces) > longLines
	switch {
	case len(bodies) > mostParts && !o.NoFiles && len(clean(y.plain)) <= o.fileLimit():
		p := Part{Content: l.head(y, room, "goes on in file"), Files: []File{{Name: fileName(y.name), Type: "text/plain; charset=utf-8", Data: []byte(clean(y.plain) + "\n")}}}
		add(Here, p)
	case long && o.Threads:
		add(Here, Part{Content: l.head(y, room, "goes on in thread"), Thread: threadName(y.name)})
		for _, p := range bodies {
			add(Thread, p)
		}
	default:
		for _, p := range bodies {
			add(Here, p)
		}
	}
	if call != "" {
		out[0].Content = strings.TrimPrefix(out[0].Content+"\n"+call, "\n")
	}
	return out
}

func (o Options) fileLimit() int {
	if o.FileLimit > 0 {
		return o.FileLimit
	}
	return defaultFile
}

// head is what of a long reply stands where it was asked: what it is about or its
// first lines, no table, no steps; its cautions; where the rest is.
func (l *Look) head(y layout, room int, rest string) string {
	var ps []piece
	if y.title != "" {
		ps = append(ps, piece{text: "**" + tight(y.title) + "**"})
	}
	for _, p := range y.pieces {
		if len(ps) > 0 && p.item || len(ps) == headLines {
			break
		}
		if p.code {
			p.code, p.text = false, bind(escape(p.text, true))
		}
		ps = append(ps, p)
	}
	shown := len(ps)
	for i, p := range y.pieces {
		if strings.HasPrefix(p.text, warning) && (y.card || i >= shown) && len(ps) < 2*headLines {
			ps = append(ps, p)
		}
	}
	tail := piece{text: escape(l.say(rest), true)}
	for len(ps) > 1 && len(pack(append(ps[:len(ps):len(ps)], tail), room)) > 1 {
		ps = ps[:len(ps)-1]
	}
	packed := pack(ps, room-1-units(tail.text))
	return packed[0] + "\n" + tail.text
}

// mentions let a message ring nobody but its asker.
func mentions(o Options, first bool) *discordgo.MessageAllowedMentions {
	m := &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}
	if _, ok := snowflake(o.Asker); ok && first {
		m.Users = []string{o.Asker}
	}
	return m
}

// attach puts the files of the options behind the reply.
func (l *Look) attach(parts []Part, o Options) []Part {
	last := &parts[len(parts)-1]
	for i := range parts {
		if parts[i].Where == Here {
			last = &parts[i]
		}
	}
	for _, f := range o.Files {
		if o.NoFiles || len(f.Data) > o.fileLimit() || len(last.Files) >= mostFiles {
			note := escape(l.say("file left out", cut(clean(f.Name), mostThread), strconv.Itoa(len(f.Data)>>10)), true)
			if units(last.Content)+1+units(note) <= mostContent {
				last.Content = strings.TrimPrefix(last.Content+"\n"+note, "\n")
			}
			continue
		}
		f.Name = fileSafe(f.Name)
		last.Files = append(last.Files, f)
	}
	return parts
}

func threadName(s string) string {
	if s = cut(strings.TrimSpace(strings.ReplaceAll(clean(s), "\n", " ")), mostThread); s == "" {
		return "…"
	}
	return s
}

func fileName(s string) string {
	if s = strings.Trim(fileSafe(strings.ReplaceAll(name.Fold(s), " ", "-")), "-."); s == "" {
		s = "reply"
	}
	return s + ".txt"
}

// fileSafe keeps the letters of a file name that no system minds.
func fileSafe(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_', r == '.':
			return r
		}
		return '-'
	}, s)
	if len(s) > 60 {
		s = s[len(s)-60:]
	}
	return s
}
