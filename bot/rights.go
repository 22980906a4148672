package bot

import (
	"path"
	"slices"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// Act is what somebody wants to do with the book.
type Act uint8

// The acts that the house's rules speak of.
const (
	Read     Act = iota // ask, look back
	Propose             // bring a change that somebody else has to say yes to
	Push                // write a change of a recipe or the larder
	Approve             // say yes to somebody else's change
	Settings            // change house.yaml, which says who may what
)

// May reports whether a role may do something by the house's rules. What the
// rules do not state: everybody reads and proposes, nobody pushes, who pushes
// approves, and who approves may change the settings. Who may write may read
// and propose too; the owner may everything.
func May(rules *recipe.Rules, role Role, act Act) bool {
	if role == Owner {
		return true
	}
	in := func(list []string) bool { return slices.Contains(list, string(role)) }
	writes := in(rules.WhoMayPush) || in(whoMay(rules, Approve)) || in(whoMay(rules, Settings))
	switch act {
	case Read:
		return rules.WhoMayRead == nil || in(rules.WhoMayRead) || writes
	case Propose:
		if !May(rules, role, Read) || len(whoMay(rules, Approve)) == 0 {
			return false
		}
		return rules.WhoMayPropose == nil || in(rules.WhoMayPropose) || writes
	default:
		return in(whoMay(rules, act))
	}
}

// whoMay are the roles that may write, approve or change the settings.
func whoMay(rules *recipe.Rules, act Act) []string {
	switch {
	case act == Settings && rules.WhoMaySettings != nil:
		return rules.WhoMaySettings
	case act != Push && rules.WhoMayApprove != nil:
		return rules.WhoMayApprove
	}
	return rules.WhoMayPush
}

// actOf is what writing a change takes, beside the yes.
func actOf(c *store.Change) Act {
	if slices.ContainsFunc(c.Files, func(f store.FileChange) bool { return path.Clean(f.Path) == "house.yaml" }) {
		return Settings
	}
	return Push
}

func (k *Asker) role(b *answer.Book, m Message) Role {
	if m.Role != "" {
		return m.Role
	}
	return RoleOf(b.Snap, m.Author)
}

// can reports whether who wrote may do something now.
func (k *Asker) can(b *answer.Book, m Message, act Act) bool {
	return May(&b.Snap.House.Rules, k.role(b, m), act)
}

// refused says who may do what somebody may not.
func refused(b *answer.Book, q *question.Question, act Act) *answer.Answer {
	r := &answer.Answer{Status: answer.StatusRefused, About: "change", Question: q, Form: answer.FormTalk}
	who := whoMay(&b.Snap.House.Rules, act)
	code := "not permitted"
	switch {
	case act == Read:
		r.About, who, code = "help", b.Snap.House.Rules.WhoMayRead, "not permitted read"
	case act == Approve:
		code = "not permitted approve"
	case act == Settings:
		code = "not permitted settings"
	}
	if len(who) == 0 {
		r.Why = &answer.Phrase{Code: "not permitted nobody"}
		return r
	}
	r.Why = &answer.Phrase{Code: code, Args: []string{strings.Join(who, ", ")}}
	return r
}

// permitted replaces the answer to a change by a refusal where the role may not
// write; whether it is kept as a proposal is seen later.
func (k *Asker) permitted(b *answer.Book, a *answer.Answer, m Message) *answer.Answer {
	if a.Question == nil || a.Question.Want != question.WantChange || k.can(b, m, Push) || k.can(b, m, Settings) {
		return a
	}
	return refused(b, a.Question, Push)
}

// may reports whether who wrote may bring a change, to write it or to propose
// it; otherwise the refusal.
func (k *Asker) may(b *answer.Book, m Message) *answer.Answer {
	if k.can(b, m, Push) || k.can(b, m, Settings) || k.can(b, m, Propose) {
		return nil
	}
	return refused(b, &question.Question{Want: question.WantChange, About: "change"}, Push)
}
