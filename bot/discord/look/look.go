package look

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// Look lays out the replies of one house.
type Look struct {
	key   Key
	words *reply.Words
}

// New returns the look of a house: its key, and the words of its language.
func New(key Key, words *reply.Words) *Look { return &Look{key, words} }

// Options are what a reply is laid out for.
type Options struct {
	// Asker is the id of who asked: nobody else is mentioned, and only they may
	// press what answers a question to them. "": nobody.
	Asker string
	// Asked is what they wrote; a menu carries it where it fits, so that a choice
	// can be answered when the talk is long over.
	Asked string
	// Mention puts the asker's mention behind the text, so that their phone rings.
	Mention bool
	// Now is when the reply is given: a moment of the next days is then said as a
	// clock time and how far off it is. Zero: as a date.
	Now time.Time
	// Interaction: it answers a command, a button or a form, so that what only its
	// asker needs can be shown to them alone.
	Interaction bool
	// Threads: a thread may be opened on the message.
	Threads bool
	// NoCards, NoFiles: the bot may not embed or attach there.
	NoCards, NoFiles bool
	// NoButtons leaves buttons and menus out.
	NoButtons bool
	// FileLimit is the most bytes of one file; 0: 10 MiB.
	FileLimit int
	// Pressed is the act that this reply answers: a reply from a newer revision says so.
	Pressed *Act
	// Files go with the reply: at most 10, each within the limit; others are left out and named.
	Files []File
}

// The platform's limits, see its documentation: resources/message and components/reference.
const (
	mostContent     = 2000
	mostDescription = 4000 // of 4096; with its title well under 6000 of all embeds
	mostTitle       = 256
	mostRows        = 5
	mostOptions     = 25
	mostLabel       = 80
	mostOption      = 100
	mostPlaceholder = 150
	mostThread      = 100
	mostFiles       = 10
	defaultFile     = 10 << 20

	tableColumns = 38 // of a table in a code block
	phoneColumns = 30 // of these a phone shows in one line, as docs/pictures draws it
	longLines    = 24 // more than a phone shows in two screens
	headLines    = 6  // of a long reply, where it was asked
	mostParts    = 4  // more are a file
)

// Say is a message of the house's catalogue, its arguments in their places.
func (l *Look) say(code string, args ...string) string {
	return l.words.Say(answer.Phrase{Code: code, Args: args})
}

// layout is a reply on its way into parts.
type layout struct {
	pieces []piece
	// card: the pieces are for an embed with this title.
	card  bool
	title string
	plain string // all of it, for a file
	rows  int
	name  string // of a thread or file
}

// Render lays a reply out. It always returns at least one part.
func (l *Look) Render(r *bot.Reply, o Options) []Part {
	y := l.lay(r, o)
	parts := l.parts(y, o)
	var rows []discordgo.MessageComponent
	if !o.NoButtons {
		rows = l.rows(r, o)
	}
	last := 0 // buttons stand under what is read last where it was asked
	for i := range parts {
		if parts[i].Where == Here {
			last = i
		}
	}
	parts[last].Components = rows
	parts = l.attach(parts, o)
	if o.Interaction && noise(r) {
		for i := range parts {
			parts[i].Flags |= discordgo.MessageFlagsEphemeral
		}
	}
	return parts
}

// Text lays out words of the bot's own, such as an error or a word of thanks.
func (l *Look) Text(text string, o Options) []Part {
	var y layout
	y.plain, y.name = text, firstLine(text)
	for line := range strings.SplitSeq(clean(text), "\n") {
		y.pieces = append(y.pieces, piece{text: bind(escape(line, true))})
	}
	return l.attach(l.parts(y, o), o)
}

// noise reports whether a reply is of use to its asker alone.
func noise(r *bot.Reply) bool {
	switch r.Status {
	case answer.StatusUnknown, answer.StatusError:
		return true
	case answer.StatusAsk:
		return r.Form != answer.FormChange
	case answer.StatusRefused:
		return r.About == "change"
	}
	return r.About == "help" || r.About == "talk"
}

// lay turns the lines of a reply into pieces.
func (l *Look) lay(r *bot.Reply, o Options) layout {
	y := layout{plain: r.Text, name: firstLine(r.Text)}
	if n := r.RecipeName; n != "" {
		y.name = n
	}
	lines := linesOf(r)
	st := stamps(r, o.Now)
	first := r.Status == answer.StatusAnswer
	table := tableOf(lines)
	wide, asCode := fits(table)
	y.card = table != nil && !asCode && !o.NoCards
	for i := 0; i < len(lines); i++ {
		ln := &lines[i]
		if len(y.pieces) > 0 || ln.Kind != reply.KindFigure {
			first = first && i == 0
		}
		switch {
		case ln.Kind == reply.KindChoice && r.Form == answer.FormChange && !o.NoButtons: // yes and no are buttons
			continue
		case y.card && i == 0 && ln.Kind == reply.KindHeading:
			y.title = cut(escape(ln.Text, true), mostTitle)
			continue
		case isRow(ln) && ln.At == nil && table != nil:
			y.rows++
			if asCode {
				for _, s := range tableLines(ln, wide) {
					y.pieces = append(y.pieces, piece{s, true, true})
				}
				continue
			}
		case ln.Kind == reply.KindDetail && i > 0 && lines[i-1].At != nil && lines[i-1].Kind == reply.KindRow, ln.Kind == reply.KindDetail && detailOfMoment(lines[:i]):
			p := &y.pieces[len(y.pieces)-1]
			p.text += " · " + bind(st.escape(text(ln), false))
			continue
		}
		for _, p := range l.piece(ln, st, first && i == 0, i == 0) {
			p.item = isRow(ln) || ln.Kind == reply.KindStep || ln.Kind == reply.KindDetail
			y.pieces = append(y.pieces, p)
		}
	}
	if o.Pressed != nil && r.Answer != nil && r.Recipe != nil && HashOf(r.Recipe.ID) == o.Pressed.Recipe && r.Recipe.Revision != o.Pressed.Revision {
		s := l.say("button changed", strconv.Itoa(o.Pressed.Revision), strconv.Itoa(r.Recipe.Revision))
		y.pieces = append(y.pieces, piece{text: warning + bind(escape(s, false))})
		y.plain += "\n" + s
	}
	return y
}

const warning = "⚠️ "

// linesOf are the lines of a reply; of one that a model worded, its words and
// then what they don't touch.
func linesOf(r *bot.Reply) []reply.Line {
	worded := r.Wording != nil && r.Wording.KeptBack == phrase.ReasonNone
	if !worded && len(r.Lines) > 0 {
		return r.Lines
	}
	body := r.Text
	var tail []reply.Line
	if len(r.Lines) > 0 && r.Tail != "" {
		body = strings.TrimSuffix(strings.TrimSuffix(body, r.Tail), "\n")
		i := slices.IndexFunc(r.Lines, func(l reply.Line) bool { return isTail(l.Kind) })
		if i >= 0 {
			tail = r.Lines[i:]
		}
	}
	var out []reply.Line
	for s := range strings.SplitSeq(body, "\n") {
		if s != "" {
			out = append(out, reply.Line{Kind: reply.KindTalk, Text: s})
		}
	}
	return append(out, tail...)
}

func isTail(k reply.Kind) bool {
	return k == reply.KindNote || k == reply.KindAssumed || k == reply.KindCaution
}

// text is what of a line is said, without the spaces that set it under another.
func text(ln *reply.Line) string {
	if ln.Lead == "" && ln.Rest != "" {
		return ln.Rest
	}
	return ln.Text
}

func isRow(ln *reply.Line) bool { return ln.Kind == reply.KindRow || ln.Kind == reply.KindGroup }

// detailOfMoment reports whether the row that a detail belongs to shows a moment.
func detailOfMoment(before []reply.Line) bool {
	for i := len(before) - 1; i >= 0; i-- {
		if before[i].Kind != reply.KindDetail {
			return before[i].Kind == reply.KindRow && before[i].At != nil
		}
	}
	return false
}

// tableOf are the rows without moments: those are drawn in the reader's zone,
// which no code block does. nil: there is no table.
func tableOf(lines []reply.Line) []reply.Line {
	var out []reply.Line
	rows := false
	for i := range lines {
		ln := &lines[i]
		if ln.Kind == reply.KindRow && ln.At != nil {
			return nil
		}
		if isRow(ln) {
			out = append(out, *ln)
			rows = rows || ln.Kind == reply.KindRow
		}
	}
	if !rows {
		return nil
	}
	return out
}

// fits reports whether a table stands in a code block, and how wide its column of
// numbers is. A number wider than others moves its own name alone: a phone shows
// few columns.
func fits(table []reply.Line) (wide int, ok bool) {
	for i := range table {
		if ln := &table[i]; ln.Kind == reply.KindRow {
			if n := columns(clean(ln.Lead)); n <= narrow {
				wide = max(wide, n)
			}
		}
	}
	return wide, len(table) > 0 && !slices.ContainsFunc(table, func(ln reply.Line) bool {
		s := tableLine(&ln, wide)
		return columns(s) > tableColumns || strings.ContainsAny(s, "`@\n")
	})
}

// narrow is how wide a number of a table may be for others to be set under it.
const narrow = 9

// tableLine is a row with its number set to the right.
func tableLine(ln *reply.Line, wide int) string {
	if ln.Kind == reply.KindGroup {
		return clean(ln.Text)
	}
	lead := clean(ln.Lead)
	return strings.TrimRight(strings.Repeat(" ", max(0, wide-columns(lead)))+lead+"  "+clean(ln.Rest), " ")
}

// tableLines is a row as a phone shows it: a name that would wrap goes on under
// its own beginning.
func tableLines(ln *reply.Line, wide int) []string {
	s := tableLine(ln, wide)
	room := phoneColumns - wide - 2
	if columns(s) <= phoneColumns || ln.Kind == reply.KindGroup || room < 8 {
		return []string{s}
	}
	var out []string
	indent := strings.Repeat(" ", wide+2)
	name := clean(ln.Rest)
	if lead := clean(ln.Lead); columns(lead) > wide { // it takes the line for itself
		out = append(out, lead)
	}
	for _, part := range breakLine(bind(name), room) {
		part = indent + strings.ReplaceAll(part, string(glue), " ")
		if len(out) == 0 {
			part = tableLine(&reply.Line{Kind: reply.KindRow, Lead: ln.Lead, Rest: strings.TrimSpace(part)}, wide)
		}
		out = append(out, part)
	}
	return out
}

// mostBold is the longest lead that is set bold and kept in one message.
const mostBold = 60

// bigColumns is the longest figure that a phone shows as one line of a heading.
const bigColumns = 26

// piece is one line with its mark-up; words with line breaks are several.
func (l *Look) piece(ln *reply.Line, st stampSet, big, first bool) []piece {
	lead, off := st.lead(ln)
	rest := bind(st.escape(ln.Rest, false))
	if big && ln.At != nil && off == "" {
		off = " (" + stamp(ln.At.Unix(), "R") + ")"
	}
	joined := func(sep string) []piece {
		if ln.Lead == "" || units(lead) > mostBold {
			return st.plain(ln.Text)
		}
		if rest != "" {
			rest = sep + rest
		}
		return []piece{{text: "**" + tight(lead) + "**" + tight(off) + rest}}
	}
	switch ln.Kind {
	case reply.KindFigure:
		if big && ln.At == nil && columns(ln.Text) <= bigColumns && ln.Lead != "" {
			return []piece{{text: "## " + tight(strings.TrimSpace(lead+" "+rest))}}
		}
		return joined(" ")
	case reply.KindRow, reply.KindChoice:
		return joined(" ")
	case reply.KindStep:
		return step(ln, st)
	case reply.KindSet:
		if ln.Lead == "" || units(lead) > mostBold {
			return st.plain(ln.Text)
		}
		return []piece{{text: strings.TrimSpace("**" + tight(lead) + ":** " + rest)}}
	case reply.KindHeading, reply.KindQuestion, reply.KindGroup:
		s := bind(st.escape(ln.Text, true))
		if (first || ln.Kind == reply.KindGroup) && units(s) <= mostBold*2 && strings.Trim(s, " –") != "" && !strings.Contains(s, "\n") {
			s = "**" + tight(bind(st.escape(strings.TrimPrefix(ln.Text, "– "), false))) + "**"
		}
		return []piece{{text: s}}
	case reply.KindCaution:
		ps := st.plain(text(ln))
		ps[0].text = warning + ps[0].text
		return ps
	}
	return st.plain(text(ln))
}

// mostVerb is the longest beginning of a step that is set bold.
const mostVerb = 40

// step is a step with its number and verb in bold, a remedy with its fault.
func step(ln *reply.Line, st stampSet) []piece {
	rest := ln.Rest
	if ln.Lead == "" {
		rest = ln.Text
	}
	verb, words, found := strings.Cut(rest, ": ")
	if !found || strings.Contains(verb, " · ") || columns(verb) > mostVerb || strings.Contains(rest, "\n") {
		verb, words = "", rest
	} else {
		verb += ":"
	}
	head := bind(st.escape(strings.TrimSpace(ln.Lead+" "+verb), false))
	if head == "" || units(head) > 2*mostVerb {
		return st.plain(ln.Text)
	}
	return []piece{{text: strings.TrimSpace("**" + tight(head) + "** " + bind(st.escape(words, false)))}}
}

// firstLine is the first line of a text, for a name.
func firstLine(s string) string {
	s, _, _ = strings.Cut(strings.TrimSpace(s), "\n")
	return s
}
