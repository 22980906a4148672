package bot

import (
	"slices"

	"tamis/bot/answer"
	"tamis/kb/diff"
)

// runningFrom adds what is running from the recipes of a difference: it was
// made as they were.
func (k *Asker) runningFrom(b *answer.Book, m Message, a *answer.Answer, ds []diff.Recipe) {
	if k.timers == nil || len(ds) == 0 {
		return
	}
	all, err := k.timers.All(k.house)
	if err != nil {
		return // who asks for the running work is told
	}
	var of []string
	for i := range ds {
		r := ds[i].Was
		if r == nil {
			continue
		}
		of = append(of, r.Name)
		for _, t := range diff.Touched(b.Snap, r) {
			of = append(of, t.Name)
		}
	}
	said := false
	for _, t := range opened(all) {
		if !slices.Contains(of, t.Recipe) {
			continue
		}
		f := line(t, "running", m.At, b)
		f.Part = t.Verb
		a.Facts = append(a.Facts, f)
		said = true
	}
	if said {
		note(a, "change running")
	}
}
