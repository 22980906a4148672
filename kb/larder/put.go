package larder

import (
	"bytes"
	"fmt"

	"tamis/kb/name"
)

// Put writes entries over those of the same name in a larder.yaml, and the
// others behind its last one; all other lines stay as they are.
//
//   - Errors: what is wrong with either text.
func Put(source, entries []byte) ([]byte, error) {
	add, faults := Parse("the entries", entries)
	for _, f := range faults {
		if f.Level == "fault" {
			return nil, fmt.Errorf("%s", f.String())
		}
	}
	have, faults := Parse("larder.yaml", source)
	for _, f := range faults {
		if f.Level == "fault" {
			return nil, fmt.Errorf("%s", f.String())
		}
	}
	if len(add) == 0 {
		return nil, fmt.Errorf("there is no entry in it; write - ingredient: NAME")
	}
	lines := bytes.SplitAfter(source, []byte("\n"))
	put := map[int][]byte{} // by the index of the entry that goes
	var behind [][]byte
	for i, a := range add {
		text := block(bytes.SplitAfter(entries, []byte("\n")), add, i)
		if len(text) > 0 && text[len(text)-1] != '\n' {
			text = append(bytes.Clone(text), '\n')
		}
		at := -1
		for k, h := range have {
			if name.Fold(h.Name) == name.Fold(a.Name) {
				at = k
			}
		}
		if at < 0 {
			behind = append(behind, text)
		} else {
			put[at] = text
		}
	}
	var out []byte
	next := 0 // the next line of source
	for k, h := range have {
		text, goes := put[k]
		if !goes {
			continue
		}
		for ; next < h.Pos.Line-1; next++ {
			out = append(out, lines[next]...)
		}
		out = append(out, text...)
		next += bytes.Count(block(lines, have, k), []byte("\n"))
		if next > len(lines) {
			next = len(lines)
		}
	}
	for ; next < len(lines); next++ {
		out = append(out, lines[next]...)
	}
	if len(out) > 0 && out[len(out)-1] != '\n' && len(behind) > 0 {
		out = append(out, '\n')
	}
	for _, b := range behind {
		out = append(out, b...)
	}
	now, faults := Parse("larder.yaml", out)
	for _, f := range faults {
		if f.Level == "fault" {
			return nil, fmt.Errorf("%s", f.String())
		}
	}
	if len(now) != len(have)+len(behind) {
		return nil, fmt.Errorf("the entries cannot be put in place without moving others; change larder.yaml and push it")
	}
	return out, nil
}

// block is the lines of an entry, without blank lines and remarks behind it.
func block(lines [][]byte, items []*Item, i int) []byte {
	from, to := items[i].Pos.Line-1, len(lines)
	if i+1 < len(items) {
		to = items[i+1].Pos.Line - 1
	}
	for to > from+1 {
		l := bytes.TrimRight(lines[to-1], " \t\r\n")
		if len(l) > 0 && l[0] != '#' {
			break
		}
		to--
	}
	return bytes.Join(lines[from:to], nil)
}
