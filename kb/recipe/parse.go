package recipe

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tamis/calc/quantity"
	"tamis/kb/yamldoc"
)

// Sizes of book-format, checked before parsing.
const (
	MaxRecipeBytes = 256 << 10
	MaxHouseBytes  = 256 << 10
	MaxLarderBytes = 2 << 20
)

// The keys of a recipe, a line, a step, in the order of the book's description.
var (
	recipeKeys = []string{
		"recipe", "also", "section", "makes", "loss", "ingredients", "plate", "method", "keeps", "cautions", "notes", "based on", "change",
		"season", "instead", "spare", "density", "overrun", "made with shared", "suits", "if", "pours", "picture",
	}
	lineKeys  = []string{"amount", "part", "note", "prep", "as"}
	plateKeys = []string{"amount", "part", "note", "prep", "as", "on", "out"}
	stepKeys  = []string{
		"to", "from", "of", "at", "for", "hold", "until", "where", "in", "hands", "stir every", "uses", "ahead", "caution", "with", "speed", "humidity",
	}
)

// Parse reads one recipe file. It returns the recipe as far as it could be
// read (nil if not even a name was found) and every fault and warning that the
// file alone can show, in order of place; a fault puts the recipe out. Of a
// variant the lines are checked by [CheckNames] once its changes are applied.
func Parse(file string, data []byte, m quantity.Measure) (*Recipe, []Fault) {
	p := reader{file: file, m: m}
	root, found := yamldoc.Read(data, yamldoc.Limits{Bytes: MaxRecipeBytes})
	p.faults.Put(found...)
	if !root.Exists() {
		return p.salvaged(data)
	}
	if !p.faults.Map(root, "A recipe", "recipe: NAME, then its keys") {
		return p.salvaged(data)
	}
	r := p.recipe(root)
	faults := FromYAML(file, r.Name, p.faults.List())
	if r.BasedOn == "" {
		faults = append(faults, CheckNames(r)...)
		slices.SortStableFunc(faults, byPlace)
	}
	if r.Name == "" {
		return nil, faults
	}
	return r, faults
}

func byPlace(a, b Fault) int {
	if a.Line != b.Line {
		return a.Line - b.Line
	}
	return a.Column - b.Column
}

// FromYAML makes faults of the book from those of a file; name is of the recipe
// that is out because of them, or "".
func FromYAML(file, name string, found []yamldoc.Fault) []Fault {
	if len(found) == 0 {
		return nil
	}
	out := make([]Fault, len(found))
	for i, f := range found {
		out[i] = Fault{Level: LevelFault, Code: f.Code, File: file, Line: f.Line, Column: f.Column, Text: f.Text, Write: f.Write, Recipe: name}
		if f.Warning {
			out[i].Level, out[i].Recipe = LevelWarning, ""
		}
	}
	return out
}

// salvaged returns what is known of a file that is no YAML: the name on its
// `recipe:` line.
func (p *reader) salvaged(data []byte) (*Recipe, []Fault) {
	r := &Recipe{Pos: Pos{File: p.file}}
	if len(data) > MaxRecipeBytes {
		data = data[:MaxRecipeBytes]
	}
	line := 0
	for text := range strings.Lines(string(data)) {
		line++
		text = strings.TrimPrefix(text, "\uFEFF")
		value, ok := strings.CutPrefix(text, "recipe:")
		if !ok {
			continue
		}
		if i := strings.Index(value, " #"); i >= 0 {
			value = value[:i]
		}
		r.Pos.Line, r.Pos.Column = line, 1
		r.Name = spaces(strings.ToValidUTF8(strings.Trim(strings.TrimSpace(value), `"'`), ""))
		if len(r.Name) > longestValue {
			r.Name = ""
		}
		break
	}
	faults := FromYAML(p.file, r.Name, p.faults.List())
	if r.Name == "" {
		return nil, faults
	}
	return r, faults
}

// reader reads the tree of one file.
type reader struct {
	file   string
	m      quantity.Measure
	faults yamldoc.Faults
}

func (p *reader) pos(n yamldoc.Node) Pos { return Pos{p.file, n.Line(), n.Column()} }

// wrong adds the fault of a value that is in no form of the book.
func (p *reader) wrong(n yamldoc.Node, err error) {
	form, ok := err.(*FormError)
	if !ok {
		form = &FormError{yamldoc.CodeKind, err.Error(), "another value"}
	}
	p.faults.Add(n, form.Code, form.Text, form.Write)
}

// text reads a few words; nothing written is "".
func (p *reader) text(n yamldoc.Node, key string) string {
	s, _ := p.faults.Text(n, key)
	return spaces(s)
}

// named checks that a name of something has a letter or digit to know it by.
func (p *reader) named(n yamldoc.Node, name string) bool {
	if strings.ContainsFunc(name, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
		return true
	}
	if n.Text() != "" { // else told with the file's form
		p.faults.Add(n, CodeMissing, "The name "+quoted(name)+" has no letter.", "a name in words")
	}
	return false
}

// texts reads a list of words; words alone are a list of one.
func (p *reader) texts(n yamldoc.Node, key string) []string {
	if n.Kind() == yamldoc.Text {
		if s := spaces(n.Text()); s != "" {
			return []string{s}
		}
		return nil
	}
	if !p.faults.Seq(n, key, key+": [WORDS, WORDS]") {
		return nil
	}
	out := make([]string, 0, n.Len())
	for _, item := range n.Items() {
		if s := p.text(item, key); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// value reads text with parse and adds the fault if it cannot.
func value[T any](p *reader, n yamldoc.Node, key string, parse func(string) (T, error)) (v T, ok bool) {
	s, ok := p.faults.Text(n, key)
	if !ok {
		return v, false
	}
	if p.tooLong(n, key, s) {
		return v, false
	}
	v, err := parse(s)
	if err != nil {
		p.wrong(n, err)
		return v, false
	}
	return v, true
}

// tooLong adds the fault of a value that no kitchen would write; what parses
// values may then take its time.
func (p *reader) tooLong(n yamldoc.Node, key, s string) bool {
	const most = 500
	if len(s) <= most {
		return false
	}
	p.faults.Add(n, CodeNumber, fmt.Sprintf("%s is too long: %s.", key, quoted(s)), "a few words; the rest under notes:")
	return true
}

// quantity reads one quantity of a dimension, not below least if that is not nil.
func (p *reader) quantity(n yamldoc.Node, key string, dim quantity.Dimension, example string) *quantity.Quantity {
	q, ok := value(p, n, key, func(s string) (quantity.Quantity, error) { return parseQuantity(s, p.m, dim, example) })
	if !ok {
		return nil
	}
	if q.N.Sign() < 0 && dim != quantity.Temperature && dim != quantity.Length {
		p.faults.Add(n, CodeNumber, fmt.Sprintf("%s is less than nothing.", key), example)
		return nil
	}
	return &q
}

// positive is quantity for what must be more than nothing.
func (p *reader) positive(n yamldoc.Node, key string, dim quantity.Dimension, example string) *quantity.Quantity {
	q := p.quantity(n, key, dim, example)
	if q != nil && q.N.Sign() == 0 {
		p.faults.Add(n, CodeNumber, fmt.Sprintf("%s is nothing.", key), example)
		return nil
	}
	return q
}

func (p *reader) boolean(n yamldoc.Node, key string) *bool {
	b, ok := value(p, n, key, func(s string) (bool, error) {
		switch strings.ToLower(spaces(s)) {
		case "true", "yes":
			return true, nil
		case "false", "no":
			return false, nil
		}
		return false, bad(CodeSetting, key+": true, or false", "%s is true or false, not %s.", key, quoted(s))
	})
	if !ok {
		return nil
	}
	return &b
}

// recipe reads the keys of a recipe.
func (p *reader) recipe(root yamldoc.Node) *Recipe {
	r := &Recipe{Pos: p.pos(root), Written: make(map[string]bool, root.Len())}
	for k, v := range root.Entries() {
		r.Written[k.Text()] = true
		p.key(r, k, v)
	}
	switch {
	case !root.Get("recipe").Exists():
		p.faults.Add(root, CodeMissing, "The recipe has no name.", "recipe: NAME")
	case r.Name == "" && root.Get("recipe").Empty():
		p.faults.Add(root.Get("recipe"), CodeMissing, "The recipe has no name.", "recipe: NAME")
	}
	p.together(r, root)
	return r
}

// key reads one key of a recipe.
func (p *reader) key(r *Recipe, k, v yamldoc.Node) {
	switch key := k.Text(); key {
	case "recipe":
		r.Name, r.Pos = p.text(v, key), p.pos(k)
		if r.Name != "" && !p.named(v, r.Name) {
			r.Name = ""
		}
	case "also":
		r.Also = p.texts(v, key)
	case "section":
		r.Section = p.text(v, key)
	case "makes":
		if mk, ok := value(p, v, key, ParseMakes); ok {
			r.Makes = mk
		}
	case "loss":
		if q, ok := value(p, v, key, p.parseLoss); ok {
			r.Loss = q
		}
	case "ingredients":
		if lines := p.lines(v, key, lineKeys); !r.Written["plate"] {
			r.Lines = lines
		}
	case "plate":
		r.Lines, r.IsPlate = p.lines(v, key, plateKeys), true
	case "method":
		r.Method = p.method(v)
	case "keeps":
		r.Keeps = p.keeps(v)
	case "cautions":
		r.Cautions = p.texts(v, key)
	case "notes":
		if s, ok := p.faults.Text(v, key); ok {
			r.Notes = strings.TrimSpace(s)
		}
	case "based on":
		if r.BasedOn = p.text(v, key); r.BasedOn == "" && v.Kind() == yamldoc.Text {
			p.faults.Add(v, CodeMissing, "The name of the base is missing.", "based on: NAME")
		}
	case "change":
		r.Change = p.changes(v)
	case "season":
		if s, ok := value(p, v, key, ParseSeason); ok {
			r.Season = s
		}
	case "instead":
		r.Instead = p.insteads(v)
	case "spare":
		if q := p.quantity(v, key, quantity.Share, "spare: 8 %"); q != nil {
			r.Spare = *q
		}
	case "density":
		r.Density = p.positive(v, key, quantity.Density, "density: 1.05 g/ml")
	case "overrun":
		r.Overrun = p.quantity(v, key, quantity.Share, "overrun: 30 %")
	case "made with shared":
		r.SharedWith = p.allergens(v, key)
	case "suits":
		r.SuitsStated = true
		if r.Suits = p.texts(v, key); v.Kind() == yamldoc.Text && len(r.Suits) == 0 {
			p.faults.Add(v, CodeMissing, "suits stands empty, which may mean none or not known.", "suits: [] for none, or leave the key out")
		}
	case "if":
		r.If = p.remedies(v)
	case "pours":
		r.Pours = p.boolean(v, key)
	case "picture":
		r.Picture = p.text(v, key)
	case "": // told with the file's form
	default:
		p.faults.UnknownKey(k, recipeKeys)
	}
}

// together checks the keys of a recipe that depend on each other.
func (p *reader) together(r *Recipe, root yamldoc.Node) {
	lines := root.Get("ingredients")
	plate := root.Get("plate")
	switch {
	case lines.Exists() && plate.Exists():
		p.faults.Add(plate, CodeBoth, "A dish has ingredients: or plate:, not both.", "the lines of both under plate:")
	case r.BasedOn != "" && (lines.Exists() || plate.Exists()) && len(r.Change) > 0:
		p.faults.Add(root.Get("change"), CodeBoth, "The variant has lines of its own and changes of its base's lines.", "change: alone, or the lines alone")
	case r.BasedOn == "" && !root.Get("based on").Exists() && !lines.Exists() && !plate.Exists():
		p.faults.Add(root, CodeMissing, "The recipe has no ingredients.", "ingredients: with a line for each, such as - milk: 540 g")
	}
	if c := root.Get("change"); c.Exists() && !root.Get("based on").Exists() {
		p.faults.Add(c, CodeMissing, "There is a change, but it does not say of what recipe.", "based on: NAME")
	}
}

// parseLoss reads `2 %` or `40 g`.
func (p *reader) parseLoss(s string) (quantity.Quantity, error) {
	const example = "loss: 2 %, or loss: 40 g"
	if !strings.Contains(s, "%") {
		q, err := parseQuantity(s, p.m, quantity.Mass, example)
		if err == nil && q.N.Sign() < 0 {
			err = bad(CodeNumber, example, "The loss is less than nothing.")
		}
		return q, err
	}
	q, err := parseQuantity(s, p.m, quantity.Share, example)
	if err == nil && (q.N.Sign() < 0 || q.N.Cmp(quantity.Int(100)) >= 0) {
		err = bad(CodeNumber, example, "The loss is from 0 to under 100 %%, not %s.", quoted(s))
	}
	return q, err
}

func (p *reader) keeps(n yamldoc.Node) []Keep {
	if n.Kind() == yamldoc.Text {
		if n.Text() == "" || p.tooLong(n, "keeps", n.Text()) {
			return nil
		}
		var out []Keep
		for part := range strings.SplitSeq(n.Text(), ", ") { // words with commas are a list too
			k, err := ParseKeep(part)
			if err != nil {
				p.wrong(n, err)
				continue
			}
			out = append(out, k)
		}
		return out
	}
	if !p.faults.Seq(n, "keeps", "keeps: [14 days in freezer, 24 h in fridge after thaw]") {
		return nil
	}
	out := make([]Keep, 0, n.Len())
	for _, item := range n.Items() {
		if k, ok := value(p, item, "keeps", ParseKeep); ok {
			out = append(out, k)
		}
	}
	return out
}

func (p *reader) allergens(n yamldoc.Node, key string) []Allergen {
	if n.Kind() == yamldoc.Text {
		if n.Text() == "" {
			return nil
		}
		if a, ok := value(p, n, key, ParseAllergen); ok {
			return []Allergen{a}
		}
		return nil
	}
	if !p.faults.Seq(n, key, key+": [nuts]") {
		return nil
	}
	var out []Allergen
	for _, item := range n.Items() {
		if a, ok := value(p, item, key, ParseAllergen); ok {
			out = append(out, a)
		}
	}
	return out
}

// remedies reads `if:`, a list of what went wrong and what to do.
func (p *reader) remedies(n yamldoc.Node) []Remedy {
	var out []Remedy
	add := func(m yamldoc.Node) {
		if !p.faults.Map(m, "An entry of if", `- grainy: "blend at 40 °C, chill again"`) {
			return
		}
		for k, v := range m.Entries() {
			if words := p.text(v, k.Text()); words != "" {
				out = append(out, Remedy{spaces(k.Text()), words})
			}
		}
	}
	p.entries(n, "if", `if: [{grainy: "blend at 40 °C, chill again"}]`, add)
	return out
}

// entries calls add with each mapping of a list; a mapping alone is a list of one.
func (p *reader) entries(n yamldoc.Node, key, write string, add func(yamldoc.Node)) {
	if n.Kind() == yamldoc.Map {
		add(n)
		return
	}
	if n.Empty() && n.Kind() == yamldoc.Text || !p.faults.Seq(n, key, write) {
		return
	}
	for _, item := range n.Items() {
		add(item)
	}
}
