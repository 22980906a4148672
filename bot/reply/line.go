package reply

import "time"

// Kind says what a line of a reply is, so that a channel can lay it out its own way.
type Kind uint8

// The kinds of lines.
const (
	KindTalk     Kind = iota // words alone
	KindFigure               // a number first, then what it is
	KindHeading              // the recipe and its size
	KindRow                  // of a table: a number or a moment, then a name
	KindGroup                // a heading within a table
	KindDetail               // more of the row before
	KindStep                 // of a method, numbered or not
	KindQuote                // words of the book
	KindSet                  // a label, then names
	KindQuestion             // asked back
	KindChoice               // an answer to that question: its number, then its name
	KindNote
	KindAssumed
	KindCaution
)

// Line is one line of a reply.
type Line struct {
	Kind Kind
	// Text is the line as it stands in the reply's text. Lines joined are that
	// text, unless a model worded its body.
	Text string
	// Lead is what the line begins with: its number with the unit, its moment, the
	// label of a set, the number of a step; Rest is what follows. Both empty: Text.
	Lead, Rest string
	// At is the moment that Lead shows.
	At *time.Time
}

// put writes a line with what it is.
func (b *block) put(l Line) { b.putAs(l, "", "what it is for") }

// as is a line without a lead.
func (b *block) as(k Kind, s string) { b.put(Line{Kind: k, Text: s}) }
