package diff

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
)

// Books compares two snapshots of one book: the recipes that are written
// differently, in order of name. A recipe is the same one if its id is.
func Books(was, now *kb.Snapshot) []Recipe {
	var out []Recipe
	for _, n := range now.Recipes {
		old, _ := was.Recipe(n.ID)
		if old != nil && old.Recipe == n.Recipe { // the very same file
			continue
		}
		if d := Of(old, n); !d.Empty() {
			out = append(out, d)
		}
	}
	for _, o := range was.Recipes {
		if _, there := now.Recipe(o.ID); !there {
			out = append(out, Of(o, nil))
		}
	}
	slices.SortStableFunc(out, func(a, b Recipe) int { return strings.Compare(name.Plain(a.Name()), name.Plain(b.Name())) })
	return out
}

// Own parts differences into those of recipes whose own file is among paths, and
// those that only follow from them, such as a variant's from its base.
func Own(ds []Recipe, paths []string) (own, follow []Recipe) {
	for _, d := range ds {
		r := d.Now
		if r == nil {
			r = d.Was
		}
		if slices.Contains(paths, r.Pos.File) {
			own = append(own, d)
		} else {
			follow = append(follow, d)
		}
	}
	return own, follow
}

// Touched returns the recipes of s that draw on r, through all levels, each once, in order of name.
func Touched(s *kb.Snapshot, r *kb.Recipe) []*kb.Recipe {
	seen := map[*kb.Recipe]bool{r: true}
	var out []*kb.Recipe
	var walk func(*kb.Recipe)
	walk = func(r *kb.Recipe) {
		for _, u := range s.UsedIn(r) {
			if !seen[u] {
				seen[u] = true
				out = append(out, u)
				walk(u)
			}
		}
	}
	walk(r)
	slices.SortStableFunc(out, func(a, b *kb.Recipe) int { return strings.Compare(name.Plain(a.Name), name.Plain(b.Name)) })
	return out
}

// ThreeWay is a change made on an outdated base, beside what changed since.
type ThreeWay struct {
	Mine, Theirs Recipe // each from the base
	// Both are places that both changed, and not to the same: a line's name, a step
	// as "2 bake: at", a key.
	Both []string
}

// Three compares what two hands made of one base.
func Three(base, mine, theirs *kb.Recipe) ThreeWay {
	t := ThreeWay{Mine: Of(base, mine), Theirs: Of(base, theirs)}
	theirPlaces := places(&t.Theirs)
	for _, p := range places(&t.Mine) {
		for _, o := range theirPlaces {
			if p.at == o.at && p.now != o.now && !slices.Contains(t.Both, p.show) {
				t.Both = append(t.Both, p.show)
			}
		}
	}
	return t
}

type spot struct{ at, show, now string }

// places are where a difference is, with what stands there now.
func places(r *Recipe) []spot {
	var out []spot
	for i := range r.Lines {
		l := &r.Lines[i]
		p := spot{at: "line " + name.Fold(l.Name) + "\x00" + name.Fold(l.Part), show: l.Name}
		if l.Part != "" {
			p.show += " (" + l.Part + ")"
		}
		if l.Now != nil {
			p.now = l.Now.Amount.Text + "\x00" + beside(l.Now)
		}
		out = append(out, p)
	}
	for _, s := range r.Steps {
		verb := name.Fold(s.Verb)
		show := strings.TrimSuffix(s.Verb+": "+s.Key, ": ")
		out = append(out, spot{"step " + verb + "\x00" + s.Key, show, s.Now})
	}
	for _, k := range r.Keys {
		out = append(out, spot{"key " + k.Key, k.Key, k.Now})
	}
	if r.Now == nil && r.Was != nil {
		out = append(out, spot{"recipe", r.Was.Name, ""})
	}
	return out
}
