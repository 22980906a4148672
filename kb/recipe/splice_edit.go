package recipe

import (
	"bytes"
	"slices"
	"strings"

	"tamis/kb/name"
	"tamis/kb/yamldoc"
)

// SetAmount writes another amount on line i of the ingredients or the plate,
// counted from 0; what else stands on the line stays.
//
//   - Errors: [ErrSplice].
func (t *Text) SetAmount(i int, amount string) error {
	list, key, err := t.lineList()
	if err != nil {
		return err
	}
	if i < 0 || i >= list.Len() {
		return cannot("there is no line %d", i+1)
	}
	item := list.Item(i)
	if item.Len() == 0 {
		return cannot("line %d has no amount", i+1)
	}
	_, v := item.Entry(0)
	flow := list.Flow() || item.Flow()
	want := valueOf(t.root)
	meant := want.get(key).items[i].items[1]
	if v.Kind() == yamldoc.Map {
		flow = flow || v.Flow()
		v, meant = v.Get("amount"), meant.get("amount")
	}
	if v.Kind() != yamldoc.Text {
		return cannot("line %d has no amount", i+1)
	}
	meant.text = amount
	return t.replace(v, flow, amount, want)
}

// replace writes other words in place of a text.
func (t *Text) replace(n yamldoc.Node, flow bool, s string, want *meaning) error {
	end, err := t.end(n, flow)
	if err != nil {
		return err
	}
	start := t.offset(n)
	quote := byte(0)
	if c := t.data[start]; c == '"' || c == '\'' {
		quote = c
	}
	text, err := scalar(s, flow, quote)
	if err != nil {
		return err
	}
	return t.splice(start, end, text, want)
}

// lineList is the node of `ingredients:` or `plate:`.
func (t *Text) lineList() (yamldoc.Node, string, error) {
	for _, key := range []string{"ingredients", "plate"} {
		if n := t.root.Get(key); n.Kind() == yamldoc.List && n.Len() > 0 {
			return n, key, nil
		}
	}
	return yamldoc.Node{}, "", cannot("the recipe has no lines of its own")
}

// AddLine adds a line to the ingredients or the plate: behind the last line of
// its part, without a part at the end.
//
//   - Errors: [ErrSplice].
func (t *Text) AddLine(ingredient, amount, part string) error {
	list, key, err := t.lineList()
	if err != nil {
		return err
	}
	after := list.Len() - 1
	for i, item := range list.Items() {
		if part != "" && item.Len() > 0 {
			if _, v := item.Entry(0); name.Fold(v.Get("part").Text()) == name.Fold(part) {
				after = i
			}
		}
	}
	says := &meaning{kind: yamldoc.Map, items: []*meaning{words(ingredient), words(amount)}}
	inner := part != ""
	k, err := scalar(ingredient, list.Flow(), 0)
	if err != nil {
		return err
	}
	if strings.Contains(ingredient, ":") && k == ingredient {
		k = `"` + ingredient + `"`
	}
	v, err := scalar(amount, list.Flow() || inner, 0)
	if err != nil {
		return err
	}
	text := k + ": " + v
	if inner {
		p, err := scalar(part, true, 0)
		if err != nil {
			return err
		}
		text = k + ": {amount: " + v + ", part: " + p + "}"
		says.items[1] = &meaning{kind: yamldoc.Map, items: []*meaning{words("amount"), words(amount), words("part"), words(part)}}
	}
	want := valueOf(t.root)
	all := want.get(key)
	all.items = slices.Insert(all.items, after+1, says)
	if list.Flow() {
		return cannot("the lines stand in brackets on one line")
	}
	dash, err := t.dash(list.Item(after))
	if err != nil {
		return err
	}
	return t.insertLine(t.lastLine(list.Item(after), dash), strings.Repeat(" ", dash)+"- "+text, want)
}

// dash returns the column, from 0, of the dash before an item.
func (t *Text) dash(item yamldoc.Node) (int, error) {
	line := t.line(item.Line())
	at := len(line) - len(bytes.TrimLeft(line, " "))
	if at >= len(line) || line[at] != '-' || at+1 > item.Column()-1 {
		return 0, cannot("its dash stands elsewhere")
	}
	return at, nil
}

// lastLine returns the last line of an item or of an entry whose dash or key
// stands at a column from 0; comments behind it belong to what follows.
func (t *Text) lastLine(n yamldoc.Node, column int) int {
	last := n.Line()
	var walk func(yamldoc.Node)
	walk = func(n yamldoc.Node) {
		last = max(last, n.Line())
		for _, c := range n.Items() {
			walk(c)
		}
		for k, v := range n.Entries() {
			walk(k)
			walk(v)
		}
	}
	walk(n)
	for l := last + 1; l <= len(t.at); l++ {
		line := t.line(l)
		text := bytes.TrimLeft(line, " ")
		if len(text) == 0 || text[0] == '#' {
			continue
		}
		if len(line)-len(text) <= column {
			break
		}
		last = l
	}
	return last
}

// insertLine puts a line behind line n.
func (t *Text) insertLine(n int, text string, want *meaning) error {
	eol := t.eol()
	if n < len(t.at) {
		return t.splice(t.at[n], t.at[n], text+eol, want)
	}
	return t.splice(len(t.data), len(t.data), eol+text, want) // the last line has no end
}

// RemoveLine takes line i of the ingredients or the plate out, with its comment
// behind it; comments above it stay.
//
//   - Errors: [ErrSplice].
func (t *Text) RemoveLine(i int) error {
	list, key, err := t.lineList()
	if err != nil {
		return err
	}
	switch {
	case i < 0 || i >= list.Len():
		return cannot("there is no line %d", i+1)
	case list.Len() == 1:
		return cannot("it is the only line")
	case list.Flow():
		return cannot("the lines stand in brackets on one line")
	}
	item := list.Item(i)
	dash, err := t.dash(item)
	if err != nil {
		return err
	}
	want := valueOf(t.root)
	all := want.get(key)
	all.items = slices.Delete(all.items, i, i+1)
	from, to := t.at[item.Line()-1], len(t.data)
	if last := t.lastLine(item, dash); last < len(t.at) {
		to = t.at[last]
	}
	return t.splice(from, to, "", want)
}

// SwapLine writes another ingredient and amount on line i of the ingredients or
// the plate, counted from 0; what else stands on the line stays.
//
//   - Errors: [ErrSplice].
func (t *Text) SwapLine(i int, ingredient, amount string) error {
	next := *t
	if err := next.SetAmount(i, amount); err != nil {
		return err
	}
	list, key, err := next.lineList()
	if err != nil {
		return err
	}
	item := list.Item(i)
	k, _ := item.Entry(0)
	want := valueOf(next.root)
	want.get(key).items[i].items[0].text = ingredient
	if err := next.replaceKey(k, list.Flow() || item.Flow(), ingredient, want); err != nil {
		return err
	}
	*t = next
	return nil
}

// replaceKey writes another key of a mapping.
func (t *Text) replaceKey(k yamldoc.Node, flow bool, s string, want *meaning) error {
	start := t.offset(k)
	written := k.Text()
	quote := byte(0)
	if c := t.data[start]; c == '"' || c == '\'' {
		quote = c
		written = string(c) + written + string(c)
	}
	if !bytes.HasPrefix(t.data[start:], []byte(written)) {
		return cannot("its name is written in another way")
	}
	text, err := scalar(s, flow, quote)
	if err != nil {
		return err
	}
	return t.splice(start, start+len(written), text, want)
}

// SetItem writes another text in place of item i, counted from 0, of a list that
// a key of the recipe holds, such as keeps.
//
//   - Errors: [ErrSplice].
func (t *Text) SetItem(key string, i int, value string) error {
	list := t.root.Get(key)
	if list.Kind() == yamldoc.Text && i == 0 {
		return t.SetKey(key, value)
	}
	if list.Kind() != yamldoc.List || i < 0 || i >= list.Len() || list.Item(i).Kind() != yamldoc.Text {
		return cannot("%s: has no text %d", key, i+1)
	}
	want := valueOf(t.root)
	want.get(key).items[i].text = value
	return t.replace(list.Item(i), list.Flow(), value, want)
}

// SetStep writes a key of step i of the method, counted from 0; one that the
// step lacks is added to it.
//
//   - Errors: [ErrSplice].
func (t *Text) SetStep(i int, key, value string) error {
	list := t.root.Get("method")
	if list.Kind() != yamldoc.List || i < 0 || i >= list.Len() || list.Item(i).Len() == 0 {
		return cannot("there is no step %d", i+1)
	}
	want := valueOf(t.root)
	return t.setKey(list.Item(i), list.Flow(), want.get("method").items[i], key, value, want)
}

// setKey writes the text of a key of a mapping, or adds it; meant is the same mapping in want.
func (t *Text) setKey(m yamldoc.Node, flow bool, meant *meaning, key, value string, want *meaning) error {
	flow = flow || m.Flow()
	for k, v := range m.Entries() {
		if name.Fold(k.Text()) != name.Fold(key) {
			continue
		}
		if v.Kind() != yamldoc.Text {
			return cannot("%s is a %s", key, v.Kind())
		}
		meant.get(k.Text()).text = value
		return t.replace(v, flow, value, want)
	}
	meant.items = append(meant.items, words(key), words(value))
	k, err := scalar(key, flow, 0)
	if err != nil {
		return err
	}
	v, err := scalar(value, flow, 0)
	if err != nil {
		return err
	}
	if m.Flow() {
		end, err := t.closing(m)
		if err != nil {
			return err
		}
		before := ", "
		if m.Len() == 0 {
			before = ""
		}
		at := len(bytes.TrimRight(t.data[:end], " "))
		return t.splice(at, at, before+k+": "+v, want)
	}
	column := m.Column() - 1
	return t.insertLine(t.lastLine(m, column-1), strings.Repeat(" ", column)+k+": "+v, want)
}

// closing returns where the bracket stands that closes a list or mapping.
func (t *Text) closing(n yamldoc.Node) (int, error) {
	depth := 0
	for i := t.offset(n); i < len(t.data); i++ {
		switch c := t.data[i]; {
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				return i, nil
			}
		case (c == '"' || c == '\'') && bytes.IndexByte([]byte("{[,: "), t.data[i-1]) >= 0:
			for i++; i < len(t.data) && t.data[i] != c; i++ {
				if c == '"' && t.data[i] == '\\' {
					i++
				}
			}
		case c == '#' && t.data[i-1] == ' ', c == '\n', c == '\r':
			return 0, cannot("its brackets go over several lines")
		}
	}
	return 0, cannot("its bracket is not closed")
}

// SetKey writes a key of the recipe itself, such as makes; one that is not there
// is added at the end.
//
//   - Errors: [ErrSplice].
func (t *Text) SetKey(key, value string) error {
	if t.root.Kind() != yamldoc.Map {
		return cannot("the file has no keys")
	}
	want := valueOf(t.root)
	return t.setKey(t.root, false, want, key, value, want)
}

// RemoveKey takes a key of the recipe itself out, such as notes, with all that it
// holds and the comment behind it; comments above it stay.
//
//   - Errors: [ErrSplice]; also where the key is not there.
func (t *Text) RemoveKey(key string) error {
	at := 0
	for k, v := range t.root.Entries() {
		if name.Fold(k.Text()) != name.Fold(key) {
			at += 2
			continue
		}
		want := valueOf(t.root)
		want.items = slices.Delete(want.items, at, at+2)
		from, to := t.at[k.Line()-1], len(t.data)
		if last := max(k.Line(), t.lastLine(v, k.Column()-1)); last < len(t.at) {
			to = t.at[last]
		}
		return t.splice(from, to, "", want)
	}
	return cannot("it has no %s", key)
}

// Rename gives the recipe another name and keeps the old one among its other
// names, so that what links to it still does.
//
//   - Errors: [ErrSplice].
func (t *Text) Rename(to string) error {
	old := t.root.Get("recipe").Text()
	if old == "" {
		return cannot("the recipe has no name")
	}
	next := *t
	if err := next.SetKey("recipe", to); err != nil {
		return err
	}
	if name.Fold(old) != name.Fold(to) {
		if err := next.addAlso(old); err != nil {
			return err
		}
	}
	*t = next
	return nil
}

// AddAlso adds another name of the recipe to its list of them.
//
//   - Errors: [ErrSplice].
func (t *Text) AddAlso(alias string) error { return t.addAlso(alias) }

// addAlso adds one of the recipe's other names.
func (t *Text) addAlso(alias string) error {
	also := t.root.Get("also")
	want := valueOf(t.root)
	meant := want.get("also")
	switch {
	case !also.Exists():
		text, err := scalar(alias, true, 0)
		if err != nil {
			return err
		}
		for i := 0; i < len(want.items); i += 2 {
			if want.items[i].text == "recipe" {
				want.items = slices.Insert(want.items, i+2, words("also"), &meaning{kind: yamldoc.List, items: []*meaning{words(alias)}})
				break
			}
		}
		return t.insertLine(t.root.Get("recipe").Line(), "also: ["+text+"]", want)
	case also.Kind() == yamldoc.Text:
		end, err := t.end(also, false)
		if err != nil {
			return err
		}
		first, err := scalar(also.Text(), true, 0)
		if err != nil {
			return err
		}
		text, err := scalar(alias, true, 0)
		if err != nil {
			return err
		}
		*meant = meaning{kind: yamldoc.List, items: []*meaning{words(also.Text()), words(alias)}}
		return t.splice(t.offset(also), end, "["+first+", "+text+"]", want)
	case also.Kind() != yamldoc.List || also.Len() == 0:
		return cannot("also: is no list of names")
	}
	for _, n := range also.Items() {
		if name.Fold(n.Text()) == name.Fold(alias) {
			return nil
		}
	}
	meant.items = append(meant.items, words(alias))
	text, err := scalar(alias, also.Flow(), 0)
	if err != nil {
		return err
	}
	if also.Flow() {
		end, err := t.closing(also)
		if err != nil {
			return err
		}
		at := len(bytes.TrimRight(t.data[:end], " "))
		return t.splice(at, at, ", "+text, want)
	}
	last := also.Item(also.Len() - 1)
	dash, err := t.dash(last)
	if err != nil {
		return err
	}
	return t.insertLine(t.lastLine(last, dash), strings.Repeat(" ", dash)+"- "+text, want)
}

// SetChange writes the amount of a line of a variant's base, or `none`; a change
// that the variant lacks is added.
//
//   - Errors: [ErrSplice].
func (t *Text) SetChange(line, amount string) error {
	change := t.root.Get("change")
	want := valueOf(t.root)
	if !change.Exists() {
		k, err := scalar(line, false, 0)
		if err != nil {
			return err
		}
		v, err := scalar(amount, false, 0)
		if err != nil {
			return err
		}
		want.items = append(want.items, words("change"), &meaning{kind: yamldoc.Map, items: []*meaning{words(line), words(amount)}})
		return t.insertLine(t.lastLine(t.root, -1), "change:"+t.eol()+"  "+k+": "+v, want)
	}
	if change.Kind() != yamldoc.Map || change.Len() == 0 {
		return cannot("change: is empty")
	}
	meant := want.get("change")
	for k, v := range change.Entries() {
		if name.Fold(k.Text()) == name.Fold(line) && v.Kind() == yamldoc.Map && v.Get("amount").Exists() && !strings.EqualFold(amount, "none") {
			return t.setKey(v, change.Flow(), meant.get(k.Text()), "amount", amount, want)
		}
	}
	return t.setKey(change, false, meant, line, amount, want)
}

// SetLarder writes a key of an ingredient of larder.yaml, or a part of it: path
// is `brix`, or `per 100 g` and `fat`. What the entry lacks is added to it; an
// ingredient the file lacks becomes a new entry at the end.
//
//   - Errors: [ErrSplice].
func (t *Text) SetLarder(ingredient string, path []string, value string) error {
	if t.root.Kind() != yamldoc.List || t.root.Flow() || t.root.Len() == 0 || len(path) == 0 || len(path) > 2 {
		return cannot("the larder is no list of ingredients")
	}
	want := valueOf(t.root)
	for i, item := range t.root.Items() {
		if !namesIngredient(item, ingredient) {
			continue
		}
		meant := want.items[i]
		if len(path) == 1 {
			return t.setKey(item, false, meant, path[0], value, want)
		}
		if in := item.Get(path[0]); in.Exists() {
			if in.Kind() != yamldoc.Map {
				return cannot("%s is a %s", path[0], in.Kind())
			}
			return t.setKey(in, item.Flow(), meant.get(path[0]), path[1], value, want)
		}
		return cannot("%s has no %s yet", ingredient, path[0])
	}
	k, err := scalar(ingredient, false, 0)
	if err != nil {
		return err
	}
	v, err := scalar(value, len(path) == 2, 0)
	if err != nil {
		return err
	}
	last := t.root.Item(t.root.Len() - 1)
	dash, err := t.dash(last)
	if err != nil {
		return err
	}
	entry := &meaning{kind: yamldoc.Map, items: []*meaning{words("ingredient"), words(ingredient), words(path[0]), words(value)}}
	if len(path) == 2 {
		entry.items[3] = &meaning{kind: yamldoc.Map, items: []*meaning{words(path[1]), words(value)}}
		v = "{" + path[1] + ": " + v + "}"
	}
	want.items = append(want.items, entry)
	pad := strings.Repeat(" ", dash)
	return t.insertLine(t.lastLine(last, dash), pad+"- ingredient: "+k+t.eol()+pad+"  "+path[0]+": "+v, want)
}

func namesIngredient(item yamldoc.Node, ingredient string) bool {
	fold := name.Fold(ingredient)
	if name.Fold(item.Get("ingredient").Text()) == fold {
		return true
	}
	for _, a := range item.Get("also").Items() {
		if name.Fold(a.Text()) == fold {
			return true
		}
	}
	return false
}
