package kb

import (
	"slices"
	"strings"

	"tamis/kb/name"
	"tamis/kb/recipe"
)

// houseNames finds pans, moulds, machines and cold places by folded name. Of two
// with one name the first holds.
type houseNames struct {
	h        *recipe.House
	pans     map[string]int
	moulds   map[string]int
	machines map[string]int
	cold     map[string]int
	unread   bool // house.yaml could not be read: nothing is known of its names
}

const houseFile = "house.yaml"

func (n *houseNames) empty() bool { return len(n.pans)+len(n.moulds)+len(n.machines) == 0 }

func newHouseNames(h *recipe.House) *houseNames {
	n := &houseNames{h: h, pans: map[string]int{}, moulds: map[string]int{}, machines: map[string]int{}, cold: map[string]int{}}
	put := func(m map[string]int, text string, i int) {
		f := name.Fold(text)
		if _, taken := m[f]; !taken && f != "" {
			m[f] = i
		}
	}
	for i, p := range h.Pans {
		put(n.pans, p.Name, i)
	}
	for i, m := range h.Moulds {
		put(n.moulds, m.Name, i)
	}
	for i, m := range h.Machines {
		put(n.machines, m.Name, i)
	}
	for i, c := range h.Cold {
		put(n.cold, c.Name, i)
	}
	return n
}

func (n *houseNames) pan(fold string) *recipe.Pan {
	if i, ok := n.pans[fold]; ok {
		return &n.h.Pans[i]
	}
	return nil
}

func (n *houseNames) mould(fold string) *recipe.Mould {
	if i, ok := n.moulds[fold]; ok {
		return &n.h.Moulds[i]
	}
	return nil
}

func (n *houseNames) machine(fold string) *recipe.Machine {
	if i, ok := n.machines[fold]; ok {
		return &n.h.Machines[i]
	}
	return nil
}

// checkNames looks up the names of a recipe that house.yaml or its own lines must have.
func (b *builder) checkNames(e *entry) {
	if !e.out && e.r.BasedOn != "" { // others were checked when they were read
		for _, f := range recipe.CheckNames(e.r) {
			if f.Level == recipe.LevelWarning {
				e.warns = append(e.warns, f)
				continue
			}
			if f.Recipe == "" {
				f.Recipe = e.r.Name
			}
			e.faults = append(e.faults, f)
			e.out = true
		}
	}
	if b.house.unread {
		return
	}
	for i := range e.r.Method {
		b.checkIn(e, &e.r.Method[i])
	}
	if m := e.r.Makes; m != nil && m.Fill {
		b.checkMould(e, m.Mould)
		if m.Core != "" {
			b.checkMould(e, m.Core)
		}
	}
}

func (b *builder) checkIn(e *entry, s *recipe.Step) {
	if s.In == "" {
		return
	}
	f := b.word(s.In).fold
	if b.house.pan(f) != nil || b.house.mould(f) != nil || b.house.machine(f) != nil {
		return
	}
	text := "house.yaml has no pan, mould or machine named " + quote(s.In) + "."
	if _, ok := b.house.cold[f]; ok {
		e.fault(s.Pos, codeNoName, text+" It is a cold place.", "where: "+clip(s.In))
		return
	}
	var all []string
	for _, p := range b.house.h.Pans {
		all = append(all, p.Name)
	}
	for _, m := range b.house.h.Machines {
		all = append(all, m.Name)
	}
	for _, m := range b.house.h.Moulds {
		all = append(all, m.Name)
	}
	write := "its name as in house.yaml, or add it there"
	if near := nearOf(f, all); near != "" {
		write = "in: " + near
	}
	e.fault(s.Pos, codeNoName, text, write)
}

func (b *builder) checkMould(e *entry, mould string) {
	f := b.word(mould).fold
	if b.house.mould(f) != nil {
		return
	}
	var all []string
	for _, m := range b.house.h.Moulds {
		all = append(all, m.Name)
	}
	write := "a mould of house.yaml, or add it there"
	if near := nearOf(f, all); near != "" {
		write = near
	}
	e.fault(e.r.Pos, codeNoName, "house.yaml has no mould named "+quote(mould)+".", write)
}

// nearOf returns the one of all nearest to fold, or "".
func nearOf(fold string, all []string) string {
	n := &nearest{byWord: map[string][]int32{}}
	seen := map[string]bool{}
	for _, a := range all {
		n.add(a, false, seen)
	}
	return strings.Join(slices.Concat(n.find(fold, false), []string{""})[:1], "")
}
