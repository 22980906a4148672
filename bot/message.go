package bot

import (
	"context"
	"time"

	"tamis/bot/answer"
	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// ConversationID keeps the talk of one person in one channel apart from others.
type ConversationID string

// AuthorID is who wrote, as the platform or the script says it.
type AuthorID string

// Role is a role of the house's team: "chef", "commis". Owner may do everything.
type Role string

// Roles that the house need not name.
const (
	Owner  Role = "owner"
	Commis Role = "commis"
)

// Message is what somebody wrote, whatever it came through.
type Message struct {
	Conversation ConversationID
	Author       AuthorID
	Role         Role // "": what the house's team says of the author, else commis
	Channel      string
	At           time.Time
	Text         string
	// InPlace says that the adapter can put another text in place of a reply.
	InPlace bool
	// Anew says that it goes on from nothing: neither a size nor a recipe that was
	// talked of before is meant, nor does it answer a question that waits.
	Anew bool
	// How is the way it came, kept with a change of the book; "": the asker's own.
	How string
}

// came is the way a message came.
func (k *Asker) came(m Message) string {
	if m.How != "" {
		return m.How
	}
	return k.how
}

// Reply is what goes back.
type Reply struct {
	*answer.Answer
	reply.Reply
	// Wording tells what became of a model's wording; nil: there is no model.
	Wording *Wording
	// Better waits for the model's wording and returns the reply with it, or false
	// where there is none; nil: this reply stays. An adapter that said InPlace calls
	// it once the reply is out.
	Better func(ctx context.Context) (Reply, bool)
	// Recipe and Revision that were answered from; "" where none.
	RecipeName string
	Revision   int
	// Line is the whole reply as a line of the answer format, where another
	// program of the house made it.
	Line []byte
}

// Wording is what became of a model's wording of a reply.
type Wording struct {
	KeptBack phrase.Reason // why it is not used; "": it is
}
