package store

import (
	"fmt"
	"maps"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// origins follows recipes through the log: a recipe keeps its id when its name
// or its file's name changes, and each commit that touches it is a revision of it.
type origins struct {
	living  map[string]kb.RecipeID // by path
	gone    map[string]kb.RecipeID // by the path a recipe had last
	commits map[kb.RecipeID][]int  // sequence numbers
}

func newOrigins() *origins {
	return &origins{living: map[string]kb.RecipeID{}, gone: map[string]kb.RecipeID{}, commits: map[kb.RecipeID][]int{}}
}

func (o *origins) clone() *origins {
	return &origins{maps.Clone(o.living), maps.Clone(o.gone), maps.Clone(o.commits)}
}

// of returns the id and the number of commits of the recipe at a path.
func (o *origins) of(path string) (kb.RecipeID, int) {
	if id, ok := o.living[path]; ok {
		return id, len(o.commits[id])
	}
	id := kb.RecipeID(path) // a file that no commit has yet
	if _, taken := o.commits[id]; taken {
		id += "#"
	}
	return id, 0
}

// apply takes in the next commit; before is the tree it changes.
func (o *origins) apply(e *Entry, before tree) {
	var fresh []*FileChange
	lost := map[string]*blob{} // deleted here
	for i := range e.Files {
		f := &e.Files[i]
		if !isRecipe(f.Path) {
			continue
		}
		_, lives := o.living[f.Path]
		switch {
		case f.Deleted && lives:
			lost[f.Path] = before[f.Path]
		case !f.Deleted && !lives:
			fresh = append(fresh, f)
		}
	}
	moved := map[string]string{} // from: to
	for _, f := range fresh {
		if from := source(f, lost, len(fresh)); from != "" {
			o.living[f.Path] = o.living[from]
			moved[from] = f.Path
			delete(lost, from)
			continue
		}
		id, was := o.gone[f.Path]
		if !was {
			id = kb.RecipeID(f.Path)
			if _, taken := o.commits[id]; taken {
				id = kb.RecipeID(fmt.Sprintf("%s#%d", f.Path, e.Seq))
			}
		}
		delete(o.gone, f.Path)
		o.living[f.Path] = id
	}
	touched := map[kb.RecipeID]bool{}
	for i := range e.Files {
		if id, ok := o.living[e.Files[i].Path]; ok && !touched[id] {
			touched[id] = true
			o.commits[id] = append(o.commits[id][:len(o.commits[id]):len(o.commits[id])], e.Seq)
		}
	}
	for i := range e.Files {
		f := &e.Files[i]
		id, ok := o.living[f.Path]
		if !f.Deleted || !ok {
			continue
		}
		if moved[f.Path] == "" {
			o.gone[f.Path] = id
		}
		delete(o.living, f.Path)
	}
}

// source finds the deleted file that a new one was: the same recipe name, the
// same bytes, or, where one file goes and one comes, half of the lines in common.
func source(f *FileChange, lost map[string]*blob, fresh int) string {
	if len(lost) == 0 {
		return ""
	}
	best := ""
	better := func(p string) bool { return best == "" || p < best }
	text := f.text()
	name := recipeName(text)
	for p, b := range lost {
		if b != nil && (b.content == text || name != "" && recipeName(b.content) == name) && better(p) {
			best = p
		}
	}
	if best == "" && fresh == 1 && len(lost) == 1 {
		for p, b := range lost {
			if b != nil && alike(b.content, text) {
				best = p
			}
		}
	}
	return best
}

func recipeName(content string) string {
	if r, _ := recipe.Parse("", []byte(content), quantity.Metric); r != nil {
		return r.Name
	}
	return ""
}

// alike reports whether half of the lines of the longer text stand in the other.
func alike(a, b string) bool {
	lines := map[string]int{}
	n := 0
	for l := range strings.Lines(a) {
		lines[strings.TrimSpace(l)]++
		n++
	}
	m, both := 0, 0
	for l := range strings.Lines(b) {
		m++
		if k := strings.TrimSpace(l); lines[k] > 0 {
			lines[k]--
			both++
		}
	}
	return 2*both >= max(n, m)
}

// Revision is one commit of one recipe.
type Revision struct {
	Number int    // from 1
	Path   string // of its file after the commit; where Deleted: before it
	Entry  *Entry
	// Deleted: the commit took the recipe off.
	Deleted bool
	Content string
}

// History returns the revisions of a recipe, oldest first, from the whole log;
// none if no commit has the recipe.
func History(log []Entry, id kb.RecipeID) []Revision {
	var out []Revision
	o, t := newOrigins(), tree{}
	for i := range log {
		e := &log[i]
		n := len(o.commits[id])
		paths := map[string]bool{} // it had before
		for p, at := range o.living {
			if at == id {
				paths[p] = true
			}
		}
		o.apply(e, t)
		for _, f := range e.Files {
			if f.Deleted {
				delete(t, f.Path)
			} else {
				t[f.Path] = newBlob(f.Path, f.text())
			}
		}
		if len(o.commits[id]) == n {
			continue
		}
		r := Revision{Number: n + 1, Entry: e, Deleted: true}
		for p, at := range o.living {
			if at == id {
				r.Path, r.Content, r.Deleted = p, t[p].content, false
			}
		}
		if r.Deleted {
			for p := range paths {
				r.Path = p
			}
		}
		out = append(out, r)
	}
	return out
}

// Content is what a file held after a commit; ok is false where it was not there.
func Content(log []Entry, path string, revision int) (content string, ok bool) {
	for i := range log {
		if log[i].Seq > revision {
			break
		}
		for k := range log[i].Files {
			if f := &log[i].Files[k]; f.Path == path {
				content, ok = f.text(), !f.Deleted
			}
		}
	}
	return content, ok
}
