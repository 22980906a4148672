package intake

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/kb/recipe"
)

// ErrNoRecipe: nothing in the input is a recipe.
var ErrNoRecipe = errors.New("no recipe in it")

// MaxBytes of an input; more is refused.
const MaxBytes = 1 << 20

// most lines and recipes of one input.
const most = 2000

// Draft is a recipe on its way into the book; a cook looks at the doubts first.
type Draft struct {
	Name   string
	Also   []string
	Makes  string
	Lines  []Line
	Steps  []string
	Notes  string
	Doubts []string
}

// ReadText reads pasted lines: the first without an amount is the name, those
// with one are ingredients.
//
//   - Errors: [ErrNoRecipe].
func ReadText(text string) (Draft, error) {
	var d Draft
	if len(text) > MaxBytes {
		return d, fmt.Errorf("%w: it is too long", ErrNoRecipe)
	}
	for raw := range strings.Lines(text) {
		line := strings.TrimSpace(raw)
		if line == "" || len(d.Lines) >= most {
			continue
		}
		if words, ok := numbered(line, len(d.Steps)+1); ok && len(d.Lines) > 0 {
			d.Steps = append(d.Steps, words)
			continue
		}
		if made, ok := makesSaid(line); ok && d.Makes == "" && d.Name != "" {
			d.Makes = made
			continue
		}
		l := ReadLine(line)
		switch {
		case l.Number == "" && d.Name == "" && len(d.Lines) == 0:
			d.Name = strings.TrimRight(line, ":")
		case l.Number == "" && strings.HasSuffix(line, ":"):
			d.Doubts = append(d.Doubts, "a heading: "+line)
		case l.Number == "" && len(strings.Fields(line)) > 6:
			d.Steps = append(d.Steps, line)
		default:
			d.Lines = append(d.Lines, l)
		}
	}
	if len(d.Lines) == 0 {
		return d, ErrNoRecipe
	}
	return d, nil
}

// numbered is the step of a line that begins with the number which is next: "2. Bake
// at 170 °C". A figure behind the number is an amount, and the line no step.
func numbered(line string, next int) (words string, ok bool) {
	rest, ok := strings.CutPrefix(line, strconv.Itoa(next))
	if !ok || rest == "" || rest[0] != '.' && rest[0] != ')' {
		return "", false
	}
	words = strings.TrimSpace(rest[1:])
	if words == "" || words == rest[1:] { // "1.5 tsp"
		return "", false
	}
	first, _ := utf8.DecodeRuneInString(words)
	return words, unicode.IsLetter(first)
}

// makesSaid is what a line such as "Makes 24 pieces" or "Serves 4" says.
func makesSaid(line string) (made string, ok bool) {
	first, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(strings.TrimLeft(rest, ":"))
	if rest == "" || rest[0] < '0' || rest[0] > '9' {
		return "", false
	}
	switch strings.ToLower(strings.TrimRight(first, ":")) {
	case "makes", "yields", "yield":
		return rest, true
	case "serves":
		if strings.Trim(rest, "0123456789") == "" {
			rest += " portions"
		}
		return rest, true
	}
	return "", false
}

// YAML writes the draft as a file of the book, each doubt as a comment behind
// its line. It can be read by [recipe.Parse]; a line without an amount is "to taste".
//
//   - Errors: [ErrNoRecipe] if it has no name or no line.
func (d *Draft) YAML() (string, error) {
	if oneLine(d.Name) == "" || len(d.Lines) == 0 {
		return "", ErrNoRecipe
	}
	var b strings.Builder
	put := func(indent, key, value, doubt string) error {
		k, err := recipe.Scalar(oneLine(key))
		if err != nil {
			return err
		}
		v, err := recipe.Scalar(oneLine(value))
		if err != nil {
			return err
		}
		b.WriteString(indent + k + ": " + v)
		if doubt != "" {
			b.WriteString(" # ? " + oneLine(doubt))
		}
		b.WriteByte('\n')
		return nil
	}
	if err := put("", "recipe", d.Name, strings.Join(d.Doubts, "; ")); err != nil {
		return "", err
	}
	b.WriteString("ingredients:\n")
	for i := range d.Lines {
		l := &d.Lines[i]
		if l.Name == "" {
			b.WriteString("  # ? " + oneLine(l.Text) + "\n")
			continue
		}
		amount := l.Amount
		if amount == "" {
			amount = "to taste"
		}
		doubt := strings.Join(l.Doubts, "; ")
		if l.Note == "" && l.Part == "" {
			if err := put("  - ", l.Name, amount, doubt); err != nil {
				return "", err
			}
			continue
		}
		k, err := recipe.Scalar(oneLine(l.Name))
		if err != nil {
			return "", err
		}
		b.WriteString("  - " + k + ":")
		if doubt != "" {
			b.WriteString(" # ? " + oneLine(doubt))
		}
		b.WriteByte('\n')
		for _, kv := range [][2]string{{"amount", amount}, {"part", l.Part}, {"note", l.Note}} {
			if kv[1] == "" {
				continue
			}
			if err := put("      ", kv[0], kv[1], ""); err != nil {
				return "", err
			}
		}
	}
	if d.Makes != "" {
		if _, err := recipe.ParseMakes(d.Makes); err == nil {
			if err := put("", "makes", d.Makes, ""); err != nil {
				return "", err
			}
		} else {
			b.WriteString("# ? makes: " + oneLine(d.Makes) + "\n")
		}
	}
	if len(d.Steps) > 0 {
		b.WriteString("method:\n")
		for _, s := range d.Steps {
			verb, words := step(s)
			if err := put("  - ", verb, words, ""); err != nil {
				return "", err
			}
		}
	}
	return b.String(), nil
}

// verbs that a step may begin with as it stands.
var verbs = strings.Fields("add bake beat blend boil brown chill chop churn combine cook cool cover cream cut drain drizzle fold freeze fry garnish grate grind heat knead ladle melt mix pipe place " +
	"pour preheat press proof put reduce remove rest roast roll rub salt season serve set sift simmer slice spread sprinkle steep stir strain temper toast top transfer trim turn whip whisk wrap")

// step parts an instruction into verb and words; one that begins otherwise is "do".
func step(s string) (verb, words string) {
	first, rest, _ := strings.Cut(strings.TrimSpace(s), " ")
	for _, v := range verbs {
		if strings.EqualFold(first, v) {
			return v, strings.TrimSpace(rest)
		}
	}
	return "do", s
}

// oneLine makes words fit on one line.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToValidUTF8(s, ""), func(r rune) bool {
		return r <= ' ' || r == 0x7f || r == 0x85 || r == 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xfeff || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0xfffe || r == 0xffff
	}), " ")
}
