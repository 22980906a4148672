package bot

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/store"
)

// Proposals keeps changes that wait for somebody else's yes. What Keep returns
// without an error is durable.
type Proposals interface {
	Keep(p store.Proposal) (store.Proposal, error)
	// All are those that wait, oldest first, as far as they can be read.
	All() ([]store.Proposal, error)
	// Settle ends one; of several who do, one gets no error.
	Settle(id int, how string) error
}

var _ Proposals = (*store.Proposals)(nil)

// Propose keeps proposals where they outlast the program. Without it they are
// kept in memory, and it is said. With hints those who may say yes are told of
// them beside whatever they ask, once a conversation.
func (k *Asker) Propose(p Proposals, hints bool) { k.waiting, k.lasting, k.hints = p, true, hints }

// memory keeps proposals as long as the program runs.
type memory struct {
	mu   sync.Mutex
	last int
	all  []store.Proposal
}

func (m *memory) Keep(p store.Proposal) (store.Proposal, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.all) >= store.MostProposals {
		return p, store.ErrManyProposals
	}
	m.last++
	p.ID = m.last
	m.all = append(m.all, p)
	return p, nil
}

func (m *memory) All() ([]store.Proposal, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.Clone(m.all), nil
}

func (m *memory) Settle(id int, _ string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := len(m.all)
	m.all = slices.DeleteFunc(m.all, func(p store.Proposal) bool { return p.ID == id })
	if len(m.all) == n {
		return store.ErrNoProposal
	}
	return nil
}

// author is as whom a message's changes are kept.
func (k *Asker) author(b *answer.Book, m Message) string {
	if m.Author != "" {
		return string(m.Author)
	}
	return string(k.role(b, m))
}

// keep makes a proposal of a change and says so in a; agreed: who wrote may
// write it, and a second person is asked for. It reports whether it is kept.
func (k *Asker) keep(b *answer.Book, m Message, a *answer.Answer, c store.Change, id kb.RecipeID, agreed bool) bool {
	p, err := k.waiting.Keep(store.Proposal{Who: c.Who, Role: string(k.role(b, m)), Channel: m.Channel, At: m.At, Why: c.Why, How: c.How,
		Base: c.Base, Agreed: agreed, Recipe: string(id), Files: c.Files})
	n := strconv.Itoa(p.ID)
	switch {
	case errors.Is(err, store.ErrManyProposals):
		note(a, "proposals many")
		return false
	case err != nil:
		note(a, "proposal not kept", err.Error())
		return false
	case agreed:
		note(a, "change waits", WhoseYes(&b.Snap.House.Rules)...)
	default:
		note(a, "proposal kept", WhoseYes(&b.Snap.House.Rules)...)
	}
	if a.Status == answer.StatusAnswer { // a refusal has no facts, so it says no number
		note(a, "proposal number", n)
		a.Facts = append(a.Facts, proposalNumber(p))
	}
	if !k.lasting {
		note(a, "proposal in memory")
	}
	k.tellHouse(b, m, answer.Phrase{Code: "told proposal", Args: []string{n, p.Who, firstLine(p.Why)}}, "proposal "+n+" "+m.At.UTC().Format("20060102T150405"))
	return true
}

// proposalNumber is the number that a note says.
func proposalNumber(p store.Proposal) answer.Fact {
	n := quantity.Int(int64(p.ID))
	return answer.Fact{What: "proposal", Value: &n, Shown: n.String(), From: answer.FromBook, Group: answer.GroupNote, How: p.Why}
}

// firstLine is what is shown of a longer text in a list.
func firstLine(s string) string {
	s, _, _ = strings.Cut(strings.TrimSpace(s), "\n")
	if r := []rune(s); len(r) > 80 {
		s = strings.TrimSpace(string(r[:79])) + "…"
	}
	return s
}

// shownTo reports whether who wrote is shown a proposal: who may say yes, and
// its author.
func (k *Asker) shownTo(b *answer.Book, m Message, p *store.Proposal) bool {
	return p.Who == k.author(b, m) || k.mayAgree(b, m, p) == nil
}

// mayAgree returns the refusal where who wrote may not say yes to a proposal.
func (k *Asker) mayAgree(b *answer.Book, m Message, p *store.Proposal) *answer.Answer {
	q := &question.Question{Want: question.WantChange, About: "change"}
	c := p.Change()
	switch role := k.role(b, m); {
	case role == Owner:
		return nil
	case !k.can(b, m, Approve):
		return refused(b, q, Approve)
	case actOf(&c) == Settings && !k.can(b, m, Settings):
		return refused(b, q, Settings)
	case p.Who == k.author(b, m):
		r := refused(b, q, Approve)
		r.Why = &answer.Phrase{Code: "proposal own"}
		return r
	}
	return nil
}

var (
	askWaiting  = regexp.MustCompile(`(?i)^(?:chef, |and )?(?:(?:what(?:'s|’s| is)?|whats|which changes|anything|is anything|show|list|any|are there|see|the)\s+)+(?:(?:still|is|are|what|the|all|any|open|changes|me|that|there)\s+)*(?:waiting|proposals?|proposed|to approve|to agree to)(?: for (?:me|a yes|my yes|approval))?(?: to approve)?\s*[?.!]*$`)
	askProposal = regexp.MustCompile(`(?i)^(?:please )?(?:(show|see|open|look at|approve|agree to|yes to|accept|reject|refuse|no to|drop|withdraw|take back|delete)\s+)?(?:me )?(?:my |the )?(?:proposal|change)\s+(?:no\.? ?|number |#)?([0-9]{1,6})\s*[?.!]*$`)
	askBare     = regexp.MustCompile(`(?i)^(?:please )?(show|approve|reject|withdraw)\s+#?([0-9]{1,6})\s*[.!]*$`)
)

// proposed answers what waits, and takes yes and no to it; nil where the
// message is about no proposal.
func (k *Asker) proposed(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	text := strings.TrimSpace(m.Text)
	found := askProposal.FindStringSubmatch(text)
	if found == nil {
		found = askBare.FindStringSubmatch(text)
	}
	listed := askWaiting.MatchString(text)
	if found == nil && !listed {
		return nil
	}
	all, err := k.waiting.All()
	q := &question.Question{Want: question.WantNever, About: "change"}
	talk := func(code string, args ...string) *answer.Answer {
		return &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: q, Form: answer.FormTalk, Notes: []answer.Phrase{{Code: code, Args: args}}}
	}
	if err != nil && len(all) == 0 {
		return &answer.Answer{Status: answer.StatusUnknown, About: "change", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "proposals unread", Args: []string{err.Error()}}}
	}
	all = slices.DeleteFunc(all, func(p store.Proposal) bool { return !k.shownTo(b, m, &p) })
	if found == nil {
		switch len(all) {
		case 0:
			return talk("proposals none")
		case 1:
			return k.showProposal(ctx, b, m, &all[0])
		}
		return k.listProposals(b, all)
	}
	id, _ := strconv.Atoi(found[2])
	i := slices.IndexFunc(all, func(p store.Proposal) bool { return p.ID == id })
	if i < 0 {
		a := talk("proposal gone", found[2])
		a.Status, a.Why, a.Notes = answer.StatusUnknown, &a.Notes[0], nil
		return a
	}
	switch strings.ToLower(found[1]) {
	case "reject", "refuse", "no to", "drop", "withdraw", "take back", "delete":
		return k.turnDown(b, m, &all[i])
	}
	return k.showProposal(ctx, b, m, &all[i]) // a yes only behind the difference
}

// listProposals is what waits, a line each.
func (k *Asker) listProposals(b *answer.Book, all []store.Proposal) *answer.Answer {
	a := &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: &question.Question{Want: question.WantNever, About: "change"}, Form: answer.FormChange}
	for i := range all {
		p := &all[i]
		n := quantity.Int(int64(p.ID))
		a.Facts = append(a.Facts, answer.Fact{What: "proposal", Value: &n, Shown: n.String(), From: answer.FromBook,
			Part: p.Who + ", " + p.At.In(b.Zone).Format("Mon 2 Jan 15:04") + ": " + firstLine(p.Why), How: p.Why})
	}
	note(a, "proposals list", strconv.Itoa(all[0].ID))
	return a
}

// showProposal shows what a proposal would change, and asks who may for a yes.
func (k *Asker) showProposal(ctx context.Context, b *answer.Book, m Message, p *store.Proposal) *answer.Answer {
	f := offer{at: m.At, author: m.Author, change: p.Change(), recipe: kb.RecipeID(p.Recipe), proposal: p.ID, by: p.Who}
	a := k.offered(ctx, b, m, f)
	n := strconv.Itoa(p.ID)
	a.Notes = append([]answer.Phrase{{Code: "proposal from", Args: []string{n, p.Who, p.At.In(b.Zone).Format("Mon 2 Jan 15:04"), firstLine(p.Why)}}}, a.Notes...)
	a.Facts = append(a.Facts, proposalNumber(*p))
	if a.Status == answer.StatusAsk && k.mayAgree(b, m, p) != nil { // the author looks at it
		k.open.take(m.Conversation, m.At)
		a.Status, a.Ask, a.Choices, a.Pending = answer.StatusAnswer, nil, nil, nil
		a.Question = &question.Question{Want: question.WantNever, About: "change"}
		note(a, "proposal still", WhoseYes(&b.Snap.House.Rules)...)
	}
	return a
}

// turnDown ends a proposal without writing it: its author may, and who may approve.
func (k *Asker) turnDown(b *answer.Book, m Message, p *store.Proposal) *answer.Answer {
	q := &question.Question{Want: question.WantNever, About: "change"}
	who := k.author(b, m)
	if err := k.waiting.Settle(p.ID, "turned down by "+who); err != nil && !errors.Is(err, store.ErrNoProposal) {
		return k.failed(q, err)
	}
	n := strconv.Itoa(p.ID)
	if p.Who != who {
		k.tell(AuthorID(p.Who), answer.Phrase{Code: "told no", Args: []string{who, firstLine(p.Why)}})
	}
	return &answer.Answer{Status: answer.StatusAnswer, About: "change", Question: q, Form: answer.FormTalk, Facts: []answer.Fact{proposalNumber(*p)},
		Notes: []answer.Phrase{{Code: "change dropped"}, {Code: "proposal ended", Args: []string{n}}}}
}

// agreeing answers a bare yes of a second person in the channel where one
// change that its author agreed to waits.
func (k *Asker) agreeing(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	if !k.can(b, m, Approve) {
		return nil
	}
	all, _ := k.waiting.All() // what cannot be read is said where it is asked for
	all = slices.DeleteFunc(all, func(p store.Proposal) bool {
		return !p.Agreed || p.Channel != m.Channel || k.mayAgree(b, m, &p) != nil
	})
	switch len(all) {
	case 0:
		return nil
	case 1:
		p := &all[0]
		f := offer{at: m.At, author: m.Author, change: p.Change(), recipe: kb.RecipeID(p.Recipe), proposal: p.ID, by: p.Who}
		return k.write(ctx, b, m, f)
	}
	return k.listProposals(b, all)
}

// settled ends the proposal of an offer that is in the book now.
func (k *Asker) settled(b *answer.Book, m Message, f *offer, a *answer.Answer) {
	if f.proposal == 0 {
		return
	}
	who := k.author(b, m)
	if err := k.waiting.Settle(f.proposal, "written, agreed by "+who); err != nil && !errors.Is(err, store.ErrNoProposal) {
		note(a, "proposal not ended", strconv.Itoa(f.proposal), err.Error())
	}
	if f.by != who {
		k.tell(AuthorID(f.by), answer.Phrase{Code: "told yes", Args: []string{who, firstLine(f.change.Why)}})
	}
}

// agreedBy names both whom a change is by.
func agreedBy(author, second string) string {
	if author == second {
		return author
	}
	return fmt.Sprintf("%s, agreed by %s", author, second)
}
