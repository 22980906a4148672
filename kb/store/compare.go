package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/recipe"
)

// CodeWaiting is the fault of a file that was edited by hand and is not taken
// over: the last good version answers.
const CodeWaiting = "edit waits"

// CodeLog is the fault of a log that cannot be read.
const CodeLog = "log"

// edits are files that differ from the log: the new version, nil where it is gone.
type edits map[string]*blob

// mostEdits are tried one by one; more of them are taken over together or wait together.
const mostEdits = 64

// differences are the files of the folder that are not as the log has them:
// those of the last commit that it had not yet written, and those edited by hand.
// said tells of files that cannot be judged.
func (l *ledger) differences(sc scanned) (replay, byHand edits, said []recipe.Fault) {
	replay, byHand = edits{}, edits{}
	for p, now := range sc.tree {
		if !now.same(l.tree[p]) {
			byHand[p] = now
		}
	}
	gone := 0
	for p := range l.tree {
		switch {
		case sc.tree[p] != nil:
		case sc.hides(p): // unreadable is not gone
		default:
			byHand[p] = nil
			gone++
		}
	}
	last := l.last()
	for _, f := range last.Files {
		// what a hand edit's commit holds stood in the folder before the commit;
		// of a commit that reached the folder once, going back is a hand edit too
		if now, differs := byHand[f.Path]; differs && last.How != HowFile && l.written < last.Seq && now.same(l.before[f.Path]) {
			replay[f.Path] = l.tree[f.Path]
			delete(byHand, f.Path)
			if now == nil {
				gone--
			}
		}
	}
	if gone > 1 && gone == len(l.tree) { // unmounted, more likely than meant
		said = append(said, recipe.Fault{Level: recipe.LevelFault, Code: CodeWaiting, File: recipesDir,
			Text:  fmt.Sprintf("All %d files of the book are gone from the folder. Commit %d answers.", gone, last.Seq),
			Write: "the files back into the folder, or take recipes off by name"})
		maps.DeleteFunc(byHand, func(_ string, now *blob) bool { return now == nil })
	}
	return replay, byHand, said
}

// hides reports whether a path that the scan did not give may still be there.
func (sc scanned) hides(p string) bool {
	return sc.cut || slices.ContainsFunc(sc.unread, func(u string) bool { return p == u || strings.HasPrefix(p, u+"/") })
}

// sifted is what comes of hand edits.
type sifted struct {
	good     edits
	waiting  edits
	faults   []recipe.Fault // of those that wait
	snapshot *kb.Snapshot   // with the good ones; nil if there are none
}

// trial builds the book with some edits.
type trial func(ctx context.Context, e edits) (*kb.Snapshot, error)

// sift finds the hand edits that bring no new fault: all of them, or else one
// after the other. The only error is ctx's.
func sift(ctx context.Context, base *kb.Snapshot, had tree, all edits, build trial) (sifted, error) {
	out := sifted{good: edits{}, waiting: edits{}}
	if len(all) == 0 {
		return out, nil
	}
	try := func(e edits) (*kb.Snapshot, []recipe.Fault, error) {
		s, err := build(ctx, e)
		if err != nil {
			return nil, nil, err
		}
		return s, newFaults(base, s, had, e), nil
	}
	s, faults, err := try(all)
	if err != nil {
		return out, err
	}
	if len(faults) == 0 {
		out.good, out.snapshot = all, s
		return out, nil
	}
	left := maps.Clone(all)
	hold := func(p string, why []recipe.Fault) {
		out.waiting[p] = left[p]
		delete(left, p)
		out.faults = append(out.faults, why...)
	}
	for _, f := range faults { // first those whose fault is their own
		if _, ok := left[f.File]; ok {
			hold(f.File, slices.DeleteFunc(slices.Clone(faults), func(g recipe.Fault) bool { return g.File != f.File }))
		}
	}
	if len(left) > 0 {
		if s, faults, err = try(left); err != nil {
			return out, err
		}
		if len(faults) == 0 {
			out.good, out.snapshot = left, s
			return out, nil
		}
	}
	paths := slices.Sorted(maps.Keys(left))
	for _, p := range paths {
		why := faults
		if len(paths) <= mostEdits {
			one := maps.Clone(out.good)
			one[p] = left[p]
			var t *kb.Snapshot
			if t, why, err = try(one); err != nil {
				return out, err
			}
			if len(why) == 0 {
				out.good, out.snapshot = one, t
				continue
			}
		}
		hold(p, why)
	}
	return out, nil
}

// newFaults are the faults of s that edits brought to the book that was. A file
// that had faults already cannot get worse.
func newFaults(was, s *kb.Snapshot, had tree, e edits) []recipe.Fault {
	type key struct{ file, code, text string }
	old := map[key]bool{}
	faulty := map[string]bool{}
	for _, f := range was.Faults {
		old[key{f.File, f.Code, f.Text}] = true
		faulty[f.File] = true
	}
	var out []recipe.Fault
	for _, f := range s.Faults {
		_, edited := e[f.File]
		if old[key{f.File, f.Code, f.Text}] || edited && had[f.File] != nil && faulty[f.File] {
			continue
		}
		out = append(out, f)
	}
	return out
}

// waitingFaults says of the files that wait which commit answers, and what is wrong with them.
func (l *ledger) waitingFaults(s sifted) []recipe.Fault {
	var out []recipe.Fault
	for _, p := range slices.Sorted(maps.Keys(s.waiting)) {
		f := recipe.Fault{Level: recipe.LevelFault, Code: CodeWaiting, File: p, Write: "what the faults below say, in this file or where they stand"}
		switch {
		case s.waiting[p] == nil:
			f.Text = "It was taken out of the folder, which puts other recipes out. The last version still answers."
			f.Write = "the file back into the folder, or change the recipes that need it too"
		case l.tree[p] == nil:
			f.Text = "It is new and has faults, so it is not in the book yet."
		default:
			f.Text = "It was edited by hand and has faults. The last good version answers until they are mended."
		}
		out = append(out, f)
	}
	seen := map[string]bool{}
	for _, f := range s.faults {
		if k := f.String(); !seen[k] {
			seen[k] = true
			out = append(out, f)
		}
	}
	return out
}

// apply returns t with the edits.
func (t tree) apply(e edits) tree {
	out := maps.Clone(t)
	for p, b := range e {
		if b == nil {
			delete(out, p)
		} else {
			out[p] = b
		}
	}
	return out
}

// changes are the edits as a commit has them, in order of path.
func (e edits) changes() []FileChange {
	out := make([]FileChange, 0, len(e))
	for _, p := range slices.Sorted(maps.Keys(e)) {
		if e[p] == nil {
			out = append(out, FileChange{Path: p, Deleted: true})
		} else {
			out = append(out, change(p, e[p].content))
		}
	}
	return out
}
