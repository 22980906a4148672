package question

import (
	"slices"
	"strings"

	"tamis/kb/name"
)

// bothOf makes every line of "both flours", "all the sugars" an ingredient asked
// for, where a recipe has several whose names end in that word.
func (s *sense) bothOf(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || len(r.q.Items) != 1 {
		return
	}
	said := r.q.Items[0].Text
	i := slices.IndexFunc(s.names, func(i int) bool { return s.text(i) == said && r.used[i] })
	if i < 0 {
		return
	}
	i = s.names[i]
	w := s.before(i)
	if w == "the" && s.span(i).from > 1 {
		w = s.l.tokens[s.span(i).from-2].plain
	}
	t := s.l.tokens[s.span(i).to-1]
	if w != "both" && (w != "all" && w != "two" || t.plain == t.fold) || s.span(i).to != s.span(i).from+1 {
		return
	}
	var items []Item
	for k := range r.q.Targets[0].Recipe.Lines {
		l := &r.q.Targets[0].Recipe.Lines[k]
		if ws := strings.Fields(l.Fold); len(ws) == 0 || name.Singular(ws[len(ws)-1]) != t.fold || slices.ContainsFunc(items, func(o Item) bool { return o.Text == l.Name }) {
			continue
		}
		items = append(items, Item{Text: l.Name, Names: []string{l.Fold}, Larder: l.Item, Recipe: l.Link, InBook: true})
	}
	if len(items) > 1 {
		r.q.Items = items
	}
}
