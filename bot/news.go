package bot

import (
	"context"
	"log/slog"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/store"
)

// Tell lets the asker say changes in the channel that the house chose
// (`changes told in`).
func (k *Asker) Tell(s Speaker) { k.speaker = s }

// news is what people are told with the next answer they get.
type news struct {
	mu    sync.Mutex
	to    map[AuthorID][]answer.Phrase
	shown map[ConversationID]shownNews
}

// shownNews is the last proposal that a conversation was told of.
type shownNews struct {
	at   time.Time
	last int
}

// mostNews is how much is kept for one person; the oldest goes.
const mostNews = 6

// tell keeps a line for somebody.
func (k *Asker) tell(to AuthorID, p answer.Phrase) {
	k.news.mu.Lock()
	defer k.news.mu.Unlock()
	if k.news.to == nil {
		k.news.to = map[AuthorID][]answer.Phrase{}
	}
	if _, there := k.news.to[to]; !there && len(k.news.to) >= mostTalks {
		return
	}
	l := append(k.news.to[to], p)
	k.news.to[to] = l[max(0, len(l)-mostNews):]
}

// toldNow adds to an answer what there is to tell whom it goes to: that a
// recipe this talk is about has changed, what became of a proposal, and what
// waits for a yes.
func (k *Asker) toldNow(b *answer.Book, before *question.Context, m Message, a *answer.Answer) {
	if k.keeper == nil || a.Status == answer.StatusRefused || a.Status == answer.StatusError {
		return
	}
	if before != nil && a.About != "change" {
		k.toldChange(b, before, a)
	}
	k.news.mu.Lock()
	mine := k.news.to[m.Author]
	delete(k.news.to, m.Author)
	k.news.mu.Unlock()
	a.Notes = append(a.Notes, mine...)
	if a.About == "change" || !k.hints || !k.can(b, m, Approve) {
		return
	}
	all, _ := k.waiting.All() // said where it is asked for
	all = slices.DeleteFunc(all, func(p store.Proposal) bool { return k.mayAgree(b, m, &p) != nil })
	if len(all) == 0 {
		return
	}
	last := all[len(all)-1].ID
	k.news.mu.Lock()
	defer k.news.mu.Unlock()
	if k.news.shown == nil {
		k.news.shown = map[ConversationID]shownNews{}
	}
	for id, s := range k.news.shown {
		if m.At.Sub(s.at) > 12*time.Hour {
			delete(k.news.shown, id)
		}
	}
	if s, ok := k.news.shown[m.Conversation]; ok && s.last >= last {
		return
	}
	k.news.shown[m.Conversation] = shownNews{m.At, last}
	note(a, "proposals wait")
}

// toldChange says that a recipe of this talk has changed since its last line.
func (k *Asker) toldChange(b *answer.Book, before *question.Context, a *answer.Answer) {
	for _, t := range before.Targets {
		if t.Recipe == nil {
			continue
		}
		now, ok := b.Snap.Recipe(t.Recipe.ID)
		switch {
		case !ok && t.Recipe.ID != "":
			if a.Status == answer.StatusUnknown {
				note(a, "told off", t.Recipe.Name)
			}
		case ok && now.Revision > t.Recipe.Revision && t.Recipe.Revision > 0 && now.Recipe != t.Recipe.Recipe:
			if a.Recipe == nil || a.Recipe.ID == now.ID {
				note(a, "told changed", now.Name, k.lastHand(now))
			}
		}
	}
}

// lastHand is who wrote the newest revision of a recipe.
func (k *Asker) lastHand(r *kb.Recipe) string {
	log, err := k.keeper.Log(context.Background())
	if err != nil {
		return ""
	}
	if revs := store.History(log, r.ID); len(revs) > 0 {
		if who := revs[len(revs)-1].Entry.Who; who != "" {
			return who
		}
	}
	return "by hand"
}

// spread tells the house's channel of a commit, in three lines at most.
func (k *Asker) spread(b *answer.Book, m Message, a *answer.Answer, e store.Entry, ds []diff.Recipe) {
	var names []string
	for i := range ds {
		names = append(names, ds[i].Name())
	}
	if len(names) == 0 {
		for _, f := range e.Files {
			names = append(names, f.Path)
		}
	}
	if len(names) > 4 {
		names = append(names[:4], "…")
	}
	who := e.Who
	if who == "" {
		who = string(k.role(b, m))
	}
	w := k.words.In(b.Snap.House.Language)
	lines := []string{w.Say(answer.Phrase{Code: "told commit", Args: []string{strings.Join(names, ", "), who, firstLine(e.Why)}})}
	var changed []string
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.HasItems || f.Group != "" || f.WasShown == "" && f.Was == nil || len(changed) == 4 {
			continue
		}
		changed = append(changed, f.What+" "+f.WasShown+" → "+f.Shown)
	}
	if len(changed) > 0 {
		lines = append(lines, strings.Join(changed, " · "))
	}
	for _, p := range a.Notes {
		if p.Code == "allergens gained" || p.Code == "allergens lost" {
			lines = append(lines, w.Say(p))
		}
	}
	k.say(b, m, strings.Join(lines[:min(3, len(lines))], "\n"), "commit "+strconv.Itoa(e.Seq)+" "+e.Hash[:min(12, len(e.Hash))])
}

// tellHouse says a line in the channel that the house chose.
func (k *Asker) tellHouse(b *answer.Book, m Message, p answer.Phrase, id string) {
	k.say(b, m, k.words.In(b.Snap.House.Language).Say(p), id)
}

// Said waits until what is being told in channels has been said or given up.
func (k *Asker) Said() { k.saying.Wait() }

// sayFor is how long the channel's note may take; it never holds up an answer.
const sayFor = 10 * time.Second

func (k *Asker) say(b *answer.Book, m Message, text, id string) {
	channel := b.Snap.House.Rules.ChangesToldIn
	if k.speaker == nil || channel == "" || channel == m.Channel { // there it has just been said
		return
	}
	k.saying.Add(1)
	go func() {
		defer k.saying.Done()
		ctx, stop := context.WithTimeout(context.Background(), sayFor)
		defer stop()
		if err := k.speaker.Say(ctx, channel, text, k.house+" "+id); err != nil {
			slog.Warn("a change could not be told in the channel of the house", "channel", channel, "err", err)
		}
	}()
}
