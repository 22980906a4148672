package bot

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// history answers what changed, who changed it, how it was, and the way back.
func (k *Asker) history(ctx context.Context, b *answer.Book, before *question.Context, m Message, q *question.Question) *answer.Answer {
	unknown := func(code string, args ...string) *answer.Answer {
		return &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: code, Args: args}}
	}
	if len(q.Targets) == 0 && before != nil {
		q.Targets = before.Targets
	}
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		words := question.Words(m.Text)
		if slices.Contains(words, "changed") && (slices.Contains(words, "what") || slices.Contains(words, "which")) {
			return k.bookSince(ctx, b, m, q, words)
		}
		if slices.Contains(words, "who") {
			if a := k.whoseLine(ctx, b, q, words); a != nil {
				return a
			}
		}
		return unknown("history of what")
	}
	q.Targets = q.Targets[:1]
	r := q.Targets[0].Recipe
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return unknown("change failed", err.Error())
	}
	revs := store.History(log, r.ID)
	if len(revs) < 2 {
		return unknown("history none", r.Name)
	}
	words := question.Words(m.Text)
	says := func(any ...string) bool {
		return slices.ContainsFunc(any, func(w string) bool { return slices.Contains(words, w) })
	}
	back := goesBack(words)
	moment, dated := whenSaid(words, m.At.In(b.Zone))
	switch {
	case back:
		if refused := k.may(b, m); refused != nil {
			return refused
		}
		to := &revs[len(revs)-2]
		if dated {
			if to = lastBefore(revs, moment); to == nil {
				return unknown("history not then", r.Name)
			}
		}
		if to.Deleted {
			return unknown("history not then", r.Name)
		}
		return k.offer(ctx, b, m, r.ID, store.Change{Who: string(m.Author), Why: m.Text, How: k.came(m),
			Files: []store.FileChange{{Path: revs[len(revs)-1].Path, Content: to.Content}}})
	case says("who") || says("when") || says("last") && !dated:
		return k.whoChanged(ctx, b, q, r, revs, words)
	case says("history", "revision", "revisions", "versions") && !dated:
		return k.since(ctx, b, q, r, revs, &revs[0])
	case says("since", "changed", "change", "difference", "different", "differ", "new"):
		from := &revs[len(revs)-2]
		if dated {
			if from = lastBefore(revs, moment); from == nil {
				from = &revs[0]
			}
		}
		return k.since(ctx, b, q, r, revs, from)
	}
	to := &revs[len(revs)-2]
	if dated {
		if to = lastBefore(revs, moment); to == nil {
			return unknown("history not then", r.Name)
		}
	}
	return k.asItWas(ctx, m, q, r, to)
}

// goesBack reports whether words ask for the way back.
func goesBack(words []string) bool {
	return strings.Contains(" "+strings.Join(words, " ")+" ", " back to ") ||
		slices.ContainsFunc(words, func(w string) bool { return w == "revert" || w == "undo" || w == "restore" })
}

// bookSince names the recipes that read differently since a day, the last week
// where the message names none.
func (k *Asker) bookSince(ctx context.Context, b *answer.Book, m Message, q *question.Question, words []string) *answer.Answer {
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return k.failed(q, err)
	}
	moment, dated := whenSaid(words, m.At.In(b.Zone))
	if !dated {
		moment = m.At.AddDate(0, 0, -7)
		if slices.Contains(words, "month") {
			moment = m.At.AddDate(0, -1, 0)
		}
	}
	seq := 0
	for i := range log {
		if !log[i].At.After(moment) {
			seq = log[i].Seq
		}
	}
	if len(log) > 0 && seq == 0 {
		seq = 1
	}
	a := &answer.Answer{Status: answer.StatusAnswer, About: "history", Question: q, Form: answer.FormChange}
	var names []string
	if len(log) > 0 {
		then, err := k.keeper.At(ctx, seq)
		if err != nil {
			return k.failed(q, err)
		}
		for _, d := range diff.Books(then, b.Snap) {
			names = append(names, d.Name())
		}
	}
	if len(names) == 0 {
		a.Form, a.Notes = answer.FormTalk, []answer.Phrase{{Code: "history book nothing"}}
		return a
	}
	a.Facts = []answer.Fact{{What: "changed", HasItems: true, Items: names, From: answer.FromBook}}
	return a
}

// asOf answers a question of what was in a recipe at a day of the past from the
// book as it was then: "how much yolk was in the base in February".
func (k *Asker) asOf(ctx context.Context, b *answer.Book, before *question.Context, m Message, a *answer.Answer) *answer.Answer {
	if a.Status != answer.StatusAnswer || a.Recipe == nil || a.Question == nil || !slices.Contains([]string{"lookup", "scale", "card"}, a.About) {
		return nil
	}
	words := question.Words(m.Text)
	past := slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains([]string{"was", "were", "did", "had", "look", "looked", "used", "wa"}, w)
	})
	moment, dated := whenSaid(words, m.At.In(b.Zone))
	earlier := !dated && len(words) > 0 && words[len(words)-1] == "before" // "what was the crumble before"
	if !past || !dated && !earlier || slices.Contains(words, "yesterday") || slices.Contains(words, "today") {
		return nil
	}
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return nil
	}
	q := &question.Question{Want: question.WantUnbuilt, About: "history", Targets: a.Question.Targets, Say: m.Text}
	revs := store.History(log, a.Recipe.ID)
	rev := lastBefore(revs, moment)
	if earlier {
		if rev = nil; len(revs) > 1 {
			rev = &revs[len(revs)-2]
		} else {
			return nil
		}
	}
	if rev == nil || rev.Deleted {
		return &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "history not then", Args: []string{a.Recipe.Name}}}
	}
	s, err := k.keeper.At(ctx, rev.Entry.Seq)
	if err != nil {
		return k.failed(q, err)
	}
	old := k.decide(b.Next(s), before, m)
	if old.Status != answer.StatusAnswer || old.Recipe == nil || old.Recipe.ID != a.Recipe.ID {
		return k.asItWas(ctx, m, q, a.Recipe, rev)
	}
	old.About, old.Question = "history", q
	old.Notes = append(old.Notes, answer.Phrase{Code: "history old", Args: []string{strconv.Itoa(old.Recipe.Revision), rev.Entry.At.In(b.Zone).Format("2 Jan 2006")}})
	return old
}

// lastBefore is the revision that stood at a moment.
func lastBefore(revs []store.Revision, at time.Time) *store.Revision {
	for i := len(revs) - 1; i >= 0; i-- {
		if !revs[i].Entry.At.After(at) {
			return &revs[i]
		}
	}
	return nil
}

// signature adds who made a revision and when.
func signature(a *answer.Answer, b *answer.Book, r *kb.Recipe, rev *store.Revision) {
	at := rev.Entry.At.In(b.Zone)
	who := rev.Entry.Who
	if who == "" {
		who = "by hand"
	}
	a.Facts = append(a.Facts,
		answer.Fact{What: "changed by", HasItems: true, Items: []string{who}, Of: r.Name, From: answer.FromBook, How: rev.Entry.Why},
		answer.Fact{What: "changed at", Time: &at, Unit: "time", Shown: at.Format("Mon 2 Jan 2006, 15:04"), Of: r.Name, From: answer.FromBook})
}

// whoChanged finds the last revision that changed the line named, or any.
func (k *Asker) whoChanged(ctx context.Context, b *answer.Book, q *question.Question, r *kb.Recipe, revs []store.Revision, words []string) *answer.Answer {
	for i := len(revs) - 1; i > 0; i-- {
		was, now, d, err := k.between(ctx, r.ID, &revs[i-1], &revs[i])
		if err != nil {
			return k.failed(q, err)
		}
		var lines []diff.Line
		for _, l := range d.Lines {
			if question.Mentions(words, l.Name) {
				lines = append(lines, l)
			}
		}
		named := slices.ContainsFunc(r.Lines, func(l kb.Line) bool { return mentionsAll(words, l.Name, r.Name) })
		if named && len(lines) == 0 {
			continue
		}
		if len(lines) > 0 {
			d.Lines, d.Steps, d.Keys = lines, nil, nil
		}
		diffs := answer.Difference(was, now, []diff.Recipe{d})
		a := &answer.Answer{Status: answer.StatusAnswer, About: "history", Question: q, Form: answer.FormChange, Recipe: r, Title: answer.Title{Recipe: r.Name}}
		signature(a, b, r, &revs[i])
		n := len(lines)
		if n == 0 {
			n = len(d.Lines)
		}
		a.Facts = append(a.Facts, diffs.Facts[:min(n, len(diffs.Facts))]...)
		return a
	}
	return &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "history line", Args: []string{r.Name}}}
}

// mentionsAll reports whether the words name a line, and not the recipe alone.
func mentionsAll(words []string, line, recipeName string) bool {
	rest := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(name.Words(recipeName), w) })
	return question.Mentions(rest, line)
}

// between compares two revisions of a recipe.
func (k *Asker) between(ctx context.Context, id kb.RecipeID, from, to *store.Revision) (was, now *answer.Book, d diff.Recipe, err error) {
	x, err := k.keeper.At(ctx, from.Entry.Seq)
	if err != nil {
		return nil, nil, d, err
	}
	y, err := k.keeper.At(ctx, to.Entry.Seq)
	if err != nil {
		return nil, nil, d, err
	}
	old, _ := x.Recipe(id)
	fresh, _ := y.Recipe(id)
	return answer.ForDifference(x), answer.ForDifference(y), diff.Of(old, fresh), nil
}

// since is the difference between then and now.
func (k *Asker) since(ctx context.Context, b *answer.Book, q *question.Question, r *kb.Recipe, revs []store.Revision, from *store.Revision) *answer.Answer {
	last := &revs[len(revs)-1]
	was, now, d, err := k.between(ctx, r.ID, from, last)
	if err != nil {
		return k.failed(q, err)
	}
	if d.Empty() {
		return &answer.Answer{Status: answer.StatusAnswer, About: "history", Question: q, Form: answer.FormTalk, Recipe: r,
			Notes: []answer.Phrase{{Code: "history nothing", Args: []string{r.Name}}}}
	}
	a := answer.Difference(was, now, []diff.Recipe{d})
	a.About, a.Question, a.Recipe = "history", q, r
	a.Notes = append(a.Notes, answer.Phrase{Code: "history from", Args: []string{strconv.Itoa(from.Number), strconv.Itoa(last.Number)}})
	signature(a, b, r, last)
	return a
}

// textured answers what a change does to the texture: the one on offer, else the
// last of the recipe, or all since a day; nil where the message asks no such thing.
func (k *Asker) textured(ctx context.Context, b *answer.Book, before *question.Context, m Message, q *question.Question, pending bool) *answer.Answer {
	words := question.Words(m.Text)
	says := func(any ...string) bool {
		return slices.ContainsFunc(any, func(w string) bool { return slices.Contains(words, w) })
	}
	if !says("texture", "textur", "mouthfeel") || !says("do", "doe", "does", "did", "change", "changed", "difference", "differ", "mean") ||
		says("swap", "instead", "replace", "without", "substitute", "for") && !pending {
		return nil
	}
	if pending {
		if f, ok := k.open.take(m.Conversation, m.At); ok {
			plan, err := k.keeper.Try(ctx, f.change)
			if err != nil {
				k.open.put(m.Conversation, f)
				return nil
			}
			own, _ := diff.Own(diff.Books(plan.Before, plan.After), plan.Paths())
			a := &answer.Answer{About: "change", Question: &question.Question{Want: question.WantChange, About: "change"}, Form: answer.FormChange}
			for _, d := range own {
				if t := answer.Texture(answer.ForDifference(plan.Before), answer.ForDifference(plan.After), d); t.Recipe != nil {
					a.Recipe, a.Title = t.Recipe, t.Title
					a.Facts, a.Notes = append(a.Facts, t.Facts...), append(a.Notes, t.Notes...)
				}
			}
			return k.asking(a, m, f)
		}
	}
	h := &question.Question{Want: question.WantUnbuilt, About: "history", Say: m.Text}
	if r := k.recipeSaid(b, before, m, q); r != nil {
		h.Targets = []question.Target{{Recipe: r}}
	} else {
		return nil
	}
	r := h.Targets[0].Recipe
	unknown := func(code string, args ...string) *answer.Answer {
		return &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: h, Form: answer.FormTalk, Why: &answer.Phrase{Code: code, Args: args}}
	}
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return unknown("change failed", err.Error())
	}
	revs := store.History(log, r.ID)
	if len(revs) < 2 {
		return unknown("history none", r.Name)
	}
	from, last := &revs[len(revs)-2], &revs[len(revs)-1]
	if moment, dated := whenSaid(words, m.At.In(b.Zone)); dated {
		if from = lastBefore(revs, moment); from == nil {
			from = &revs[0]
		}
	}
	was, now, d, err := k.between(ctx, r.ID, from, last)
	if err != nil {
		return k.failed(h, err)
	}
	a := answer.Texture(was, now, d)
	a.Question, a.Recipe = h, r
	a.Notes = append(a.Notes, answer.Phrase{Code: "history from", Args: []string{strconv.Itoa(from.Number), strconv.Itoa(last.Number)}})
	return a
}

// recipeSaid is the recipe that a message names, else the one talked about.
func (k *Asker) recipeSaid(b *answer.Book, before *question.Context, m Message, q *question.Question) *kb.Recipe {
	words := question.Words(m.Text)
	var best *kb.Recipe
	most := 0
	for _, r := range b.Snap.Recipes {
		for _, n := range append([]string{r.Name}, r.Also...) {
			if w := name.Words(n); len(w) > most && holds(words, w) {
				best, most = r, len(w)
			}
		}
	}
	switch {
	case best != nil:
		return best
	case q != nil && len(q.Targets) > 0 && q.Targets[0].Recipe != nil:
		return q.Targets[0].Recipe
	case before != nil && len(before.Targets) > 0:
		return before.Targets[0].Recipe
	}
	return nil
}

// asItWas is the card of an old revision, and says that it is old.
func (k *Asker) asItWas(ctx context.Context, m Message, q *question.Question, r *kb.Recipe, rev *store.Revision) *answer.Answer {
	s, err := k.keeper.At(ctx, rev.Entry.Seq)
	if err != nil {
		return k.failed(q, err)
	}
	old, ok := s.Recipe(r.ID)
	if !ok {
		return &answer.Answer{Status: answer.StatusUnknown, About: "history", Question: q, Form: answer.FormTalk, Why: &answer.Phrase{Code: "history not then", Args: []string{r.Name}}}
	}
	card := &question.Question{Want: question.WantCard, About: "history", Targets: []question.Target{{Recipe: old}}, Say: m.Text}
	b := answer.ForDifference(s) // a card needs no words
	a := b.Answer(card, m.At)
	a.Question = q
	a.Notes = append(a.Notes, answer.Phrase{Code: "history old", Args: []string{strconv.Itoa(old.Revision), rev.Entry.At.In(b.Zone).Format("2 Jan 2006")}})
	return a
}

// putBack offers a recipe that was taken off: "put the sorrel granita back on".
func (k *Asker) putBack(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	words := question.Words(m.Text)
	if asks(m.Text) || len(words) < 3 || len(words) > 14 || !slices.Contains(words, "back") || !slices.ContainsFunc(words, func(w string) bool { return w == "put" || w == "bring" || w == "take" || w == "get" }) {
		return nil
	}
	log, err := k.keeper.Log(ctx)
	if err != nil {
		return nil
	}
	id, ok := store.Once(log, func(content string) bool {
		r, _ := recipe.Parse("", []byte(content), quantity.Metric)
		return r != nil && holds(words, name.Words(r.Name))
	})
	if !ok {
		return nil
	}
	if _, there := b.Snap.Recipe(id); there {
		return nil
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	revs := store.History(log, id)
	for _, rev := range slices.Backward(revs) {
		if !rev.Deleted {
			return k.offer(ctx, b, m, id, store.Change{Who: string(m.Author), Why: m.Text, How: k.came(m), Files: []store.FileChange{{Path: rev.Path, Content: rev.Content}}})
		}
	}
	return nil
}

// holds reports whether words hold all of a name, in order.
func holds(words, of []string) bool {
	for i := 0; i+len(of) <= len(words) && len(of) > 0; i++ {
		if slices.Equal(words[i:i+len(of)], of) {
			return true
		}
	}
	return false
}

var months = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

// whenSaid reads a day of the past: the end of it for a day, the beginning of a
// month. ok is false where the words name none.
func whenSaid(words []string, now time.Time) (time.Time, bool) {
	day := func(y int, mo time.Month, d int) time.Time { return time.Date(y, mo, d, 23, 59, 59, 0, now.Location()) }
	past := func(mo time.Month, d int) time.Time {
		t := day(now.Year(), mo, d)
		if t.After(now) {
			t = day(now.Year()-1, mo, d)
		}
		return t
	}
	for i, w := range words {
		if t, err := time.ParseInLocation(time.DateOnly, w, now.Location()); err == nil {
			return day(t.Year(), t.Month(), t.Day()), true
		}
		switch w {
		case "yesterday":
			return day(now.Year(), now.Month(), now.Day()-1), true
		case "today":
			return day(now.Year(), now.Month(), now.Day()-1), true
		case "christma", "christmas", "xmas", "xma":
			return past(time.December, 25), true
		}
		if w == "week" && i > 0 && words[i-1] == "last" {
			return day(now.Year(), now.Month(), now.Day()-7), true
		}
		if w == "month" && i > 0 && words[i-1] == "last" {
			return now.AddDate(0, -1, 0), true
		}
		if (w == "day" || w == "week" || w == "month") && i > 0 && i+1 < len(words) && words[i+1] == "ago" {
			if n, err := strconv.Atoi(words[i-1]); err == nil && n > 0 && n < 4000 {
				switch w {
				case "day":
					return now.AddDate(0, 0, -n), true
				case "week":
					return now.AddDate(0, 0, -7*n), true
				}
				return now.AddDate(0, -n, 0), true
			}
		}
		for mo, full := range months {
			if w != full && (w != full[:3] || w == "may" || w == "mar") || w == "may" && i > 0 && !slices.Contains([]string{"since", "in", "of", "last"}, words[i-1]) {
				continue
			}
			for _, j := range []int{i - 1, i + 1} {
				if j >= 0 && j < len(words) {
					if d, err := strconv.Atoi(strings.TrimRight(words[j], "sthndr.")); err == nil && d >= 1 && d <= 31 {
						return past(time.Month(mo+1), d), true
					}
				}
			}
			first := time.Date(now.Year(), time.Month(mo+1), 1, 0, 0, 0, 0, now.Location())
			if first.After(now) {
				first = first.AddDate(-1, 0, 0)
			}
			return first, true
		}
	}
	return time.Time{}, false
}
