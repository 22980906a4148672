package bot

import (
	"context"
	"errors"
	"slices"
	"strings"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/intake"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// pasted offers recipes that the message brings whole: YAML in a code block or
// bare, or "new recipe: NAME" with a line for each ingredient.
func (k *Asker) pasted(ctx context.Context, b *answer.Book, m Message) *answer.Answer {
	texts := blocks(m.Text)
	fresh := false
	if len(texts) == 0 {
		head, rest, _ := strings.Cut(strings.TrimSpace(m.Text), "\n")
		title, ok := cutFold(head, "new recipe")
		if title = strings.TrimLeft(title, ":,- "); !ok || rest == "" && !strings.Contains(head, ":") || strings.TrimSpace(title) == "" {
			return nil
		}
		text, err := written(strings.TrimSpace(title), rest)
		if err != nil {
			return k.unreadable(err)
		}
		texts, fresh = []string{text}, true
	}
	if refused := k.may(b, m); refused != nil {
		return refused
	}
	c := store.Change{Who: string(m.Author), How: k.came(m), Why: why(m.Text)}
	var id kb.RecipeID
	put := func(f store.FileChange) {
		c.Files = slices.DeleteFunc(c.Files, func(o store.FileChange) bool { return o.Path == f.Path })
		c.Files = append(c.Files, f)
	}
	for _, text := range texts {
		switch kindOf(text) {
		case pastedHouse:
			put(store.FileChange{Path: "house.yaml", Content: text})
			continue
		case pastedLarder:
			source, _ := k.keeper.Source("larder.yaml")
			for _, f := range c.Files {
				if f.Path == "larder.yaml" {
					source = f.Content
				}
			}
			now, err := larder.Put([]byte(source), []byte(text))
			if err != nil {
				return k.failed(&question.Question{Want: question.WantChange, About: "change"}, err)
			}
			put(store.FileChange{Path: "larder.yaml", Content: string(now)})
			continue
		}
		r, faults := recipe.Parse("", []byte(text), b.Snap.House.Spoons)
		if r == nil {
			err := errors.New("it has no name")
			if len(faults) > 0 {
				err = errors.New(faults[0].Text)
			}
			return k.failed(&question.Question{Want: question.WantChange, About: "change"}, err)
		}
		path := "recipes/" + strings.Join(name.Words(r.Name), "-") + ".yaml"
		if old, ok := b.Snap.RecipeNamed(r.Name); ok && name.Fold(old.Name) == name.Fold(r.Name) {
			if fresh {
				return &answer.Answer{Status: answer.StatusUnknown, About: "change", Form: answer.FormTalk, Why: &answer.Phrase{Code: "change there", Args: []string{old.Name}}}
			}
			path, id = old.Pos.File, old.ID
		} else if id == "" {
			id = kb.RecipeID(path)
		}
		put(store.FileChange{Path: path, Content: text})
	}
	return k.offer(ctx, b, m, id, c)
}

// why is the words before a pasted recipe.
func why(text string) string {
	head, _, _ := strings.Cut(text, "```")
	head, _, _ = strings.Cut(strings.TrimSpace(head), "\n")
	if strings.HasPrefix(head, "recipe:") {
		return ""
	}
	return head
}

// cutFold cuts a beginning off without regard to case.
func cutFold(s, start string) (string, bool) {
	if len(s) < len(start) || !strings.EqualFold(s[:len(start)], start) {
		return s, false
	}
	return s[len(start):], true
}

type pastedKind uint8

const (
	pastedNothing pastedKind = iota
	pastedRecipe
	pastedHouse
	pastedLarder
)

// kindOf says which file of a book a text is, by its keys at the left edge.
func kindOf(text string) pastedKind {
	kind := pastedNothing
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "recipe:"):
			return pastedRecipe
		case strings.HasPrefix(line, "house:"):
			kind = pastedHouse
		case strings.HasPrefix(line, "- ingredient:") && kind == pastedNothing:
			kind = pastedLarder
		}
	}
	return kind
}

// mostPasted is how many files one message may bring.
const mostPasted = 50

// blocks are the files of a book in code blocks, or the whole message where it
// is one. Several recipes in one block are parted by lines of three dashes.
func blocks(text string) []string {
	if first := strings.TrimLeft(text, "\r\n"); strings.HasPrefix(first, "recipe:") || strings.HasPrefix(first, "- ingredient:") {
		return documents(first + "\n")
	}
	var out []string
	parts := strings.Split(text, "```")
	for i := 1; i+1 < len(parts) && len(out) < mostPasted; i += 2 {
		block := parts[i]
		if first, rest, ok := strings.Cut(block, "\n"); ok && !strings.Contains(first, ":") {
			block = rest // the word behind the fence
		}
		out = append(out, documents(strings.TrimLeft(block, "\r\n"))...)
	}
	return out
}

// documents parts a block at its lines of dashes.
func documents(block string) []string {
	var out []string
	var doc strings.Builder
	end := func() {
		if s := strings.TrimLeft(doc.String(), "\r\n"); kindOf(s) != pastedNothing {
			out = append(out, s)
		}
		doc.Reset()
	}
	for line := range strings.Lines(block) {
		if strings.TrimRight(line, " \r\n") == "---" {
			end()
			continue
		}
		doc.WriteString(line)
	}
	end()
	return out
}

type lineError struct{ line string }

func (e lineError) Error() string { return "unreadable line " + e.line }

func (k *Asker) unreadable(err error) *answer.Answer {
	a := &answer.Answer{Status: answer.StatusUnknown, About: "change", Form: answer.FormTalk, Why: &answer.Phrase{Code: "change failed", Args: []string{err.Error()}}}
	var bad lineError
	if errors.As(err, &bad) {
		a.Why = &answer.Phrase{Code: "change line", Args: []string{bad.line}}
	}
	return a
}

// written makes a recipe file of lines such as "120 g flour, sifted". A line
// that is no amount with a name behind it is an error, never a guess.
func written(title, lines string) (string, error) {
	d := intake.Draft{Name: title}
	for line := range strings.Lines(lines) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		l := intake.ReadLine(line)
		if l.Amount == "" || l.Name == "" {
			return "", lineError{strings.TrimSpace(line)}
		}
		d.Lines = append(d.Lines, l)
	}
	if len(d.Lines) == 0 {
		return "", lineError{title}
	}
	return d.YAML()
}
