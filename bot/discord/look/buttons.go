package look

import (
	"slices"
	"strings"

	"github.com/bwmarrin/discordgo"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// button is an act with what stands on it.
type button struct {
	label string
	style discordgo.ButtonStyle
	act   Act
}

// rows are the buttons and menus under a reply: what is obvious next.
func (l *Look) rows(r *bot.Reply, o Options) []discordgo.MessageComponent {
	if r.Answer == nil {
		return nil
	}
	switch {
	case r.Status == answer.StatusAsk && r.Form == answer.FormChange:
		mark := Mark(r)
		return l.buttons([]button{
			{l.say("button yes"), discordgo.SuccessButton, Act{Do: DoYes, Asker: o.asker(), Mark: mark}},
			{l.say("button no"), discordgo.SecondaryButton, Act{Do: DoNo, Asker: o.asker(), Mark: mark}},
		})
	case r.Status == answer.StatusAsk:
		a := Act{Do: DoChoose, Asker: o.asker(), What: o.Asked, Mark: Mark(r)}
		return l.menus(a, r.Choices, "menu choose")
	case r.Status == answer.StatusUnknown:
		a := Act{Do: DoNearest, Asker: o.asker()}
		if r.Recipe != nil && r.Why != nil && r.Why.Code == "no such line" { // the names are those of its lines
			a.Do, a.Recipe = DoAmount, HashOf(r.Recipe.ID)
		}
		return l.menus(a, r.Choices, "menu nearest")
	case r.Form == answer.FormWork:
		return l.buttons(l.workButtons(r))
	case r.Status == answer.StatusAnswer && r.Recipe != nil:
		return l.buttons(l.recipeButtons(r))
	}
	return nil
}

// asker is the one id that may press, "" where the adapter gave none.
func (o Options) asker() string {
	if _, ok := snowflake(o.Asker); ok {
		return o.Asker
	}
	return ""
}

// workButtons are what one does with work that is due.
func (l *Look) workButtons(r *bot.Reply) []button {
	notice := slices.ContainsFunc(r.Facts, func(f answer.Fact) bool { return strings.HasPrefix(f.Group, "notice") })
	if !notice && !slices.ContainsFunc(r.Facts, func(f answer.Fact) bool { return f.Group == "due" }) {
		return nil
	}
	out := []button{{l.say("button taken"), discordgo.PrimaryButton, Act{Do: DoTaken}}, {l.say("button later"), discordgo.SecondaryButton, Act{Do: DoLater}}}
	if notice {
		out = append(out, button{l.say("button ready"), discordgo.SecondaryButton, Act{Do: DoReady}})
	}
	return out
}

// recipeButtons are what one asks next of a recipe.
func (l *Look) recipeButtons(r *bot.Reply) []button {
	rec := r.Recipe
	of := func(d Do, size, what string) Act {
		return Act{Do: d, Recipe: HashOf(rec.ID), Revision: rec.Revision, Size: size, What: what}
	}
	size := sizeOf(r.Title)
	what := asked(r)
	var out []button
	put := func(label string, a Act) { out = append(out, button{label, discordgo.SecondaryButton, a}) }

	timers := func() {
		if r.About != "time" || r.Begun != nil {
			return
		}
		var seen []string
		for i := range r.Facts {
			f := &r.Facts[i]
			if f.Unit == "min" && f.Of == rec.Name && f.From == answer.FromBook && lasts(rec, f.What) && !slices.Contains(seen, f.What) && len(seen) < 2 {
				seen = append(seen, f.What)
				out = append(out, button{l.say("button timer of", f.What), discordgo.PrimaryButton, of(DoTimer, "", f.What)})
			}
		}
	}
	timers()
	if r.Begun != nil {
		put(l.say("button ready"), Act{Do: DoReady})
	}
	if r.Form != answer.FormCard {
		put(l.say("button recipe"), of(DoRecipe, size, ""))
	}
	if r.Form == answer.FormCard || r.Form == answer.FormAmounts {
		do := DoRecipe
		if what != "" {
			do = DoAmount
		}
		if !counted(rec) {
			for _, n := range []string{"2", "3"} {
				if r.Title.Factor != n {
					put("×"+n, of(do, "× "+n, what))
				}
			}
			put(l.say("button factor"), of(DoFactor, "", what))
		} else {
			put(l.say("button covers"), of(DoCovers, "", what))
		}
	}
	if r.Form != answer.FormMethod && len(rec.Method) > 0 {
		put(l.say("button method"), of(DoMethod, "", ""))
	}
	if r.About != "allergen" {
		put(l.say("button allergens"), of(DoAllergens, "", ""))
	}
	if r.Form == answer.FormMethod && waits(rec) {
		put(l.say("button timer"), of(DoTimer, "", ""))
	}
	if r.Form == answer.FormCard && !rec.IsPlate {
		put(l.say("button left"), of(DoLeft, "", ""))
	}
	return out
}

// asked is the one ingredient that was asked for.
func asked(r *bot.Reply) string {
	if r.Form != answer.FormAmounts || r.Question == nil || len(r.Question.Items) != 1 || len(r.Facts) == 0 || r.Facts[0].HasItems {
		return ""
	}
	return r.Facts[0].What
}

// sizeOf is the size of a title as a question says it, "" where none can.
func sizeOf(t answer.Title) string {
	switch {
	case t.Factor != "":
		return "× " + t.Factor
	case t.Size != "":
		return "· " + t.Size
	}
	return ""
}

// counted reports whether a recipe is asked for in covers or pieces.
func counted(r *kb.Recipe) bool { return r.IsPlate || r.Formula != nil && r.Formula.Word != "" }

// walkedAway is how many minutes a step lasts at least that people walk away from.
var walkedAway = quantity.Int(10)

// lasts reports whether a recipe has one step of that verb, in a place or an
// oven, that people walk away from: a timer is of use.
func lasts(r *kb.Recipe, verb string) bool {
	n, long := 0, false
	for i := range r.Method {
		if s := &r.Method[i]; s.Verb == verb {
			n++
			long = left(s) && (s.Where != "" || s.At != nil)
		}
	}
	return n == 1 && long
}

func left(s *recipe.Step) bool {
	if s.For == nil {
		return false
	}
	for _, m := range []*quantity.Number{s.For.Exact, s.For.Min, s.For.Max} {
		if m != nil {
			return s.Where != "" || m.Cmp(walkedAway) >= 0
		}
	}
	return false
}

// waits reports whether a recipe has a step that people walk away from.
func waits(r *kb.Recipe) bool {
	return slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return left(&s) })
}

// inRow is how many buttons of a row a phone shows beside each other.
const inRow = 3

// buttons puts buttons into rows that a phone shows as they are; one that does not
// fit is left out, and so is the same act twice.
func (l *Look) buttons(bs []button) []discordgo.MessageComponent {
	var all []discordgo.MessageComponent
	seen := map[string]bool{}
	for _, b := range bs {
		id, ok := Button(l.key, b.act)
		if !ok && b.act.Do == DoAmount { // the name is too long: the whole recipe then
			b.act.Do, b.act.What = DoRecipe, ""
			id, ok = Button(l.key, b.act)
		}
		if !ok && b.act.What != "" && b.act.Do.Form() {
			b.act.What = ""
			id, ok = Button(l.key, b.act)
		}
		if !ok || seen[id] {
			continue
		}
		seen[id] = true
		all = append(all, discordgo.Button{Label: cut(clean(b.label), mostLabel), Style: b.style, CustomID: id})
	}
	per := inRow
	if len(all) == 4 {
		per = 2
	}
	var rows []discordgo.MessageComponent
	for row := range slices.Chunk(all, per) {
		if len(rows) < mostRows {
			rows = append(rows, discordgo.ActionsRow{Components: row})
		}
	}
	return rows
}

// menus puts choices into menus of 25; what five menus don't hold stays in the
// text, where its number can be typed.
func (l *Look) menus(a Act, choices []string, placeholder string) []discordgo.MessageComponent {
	var rows []discordgo.MessageComponent
	for i, page := range slices.Collect(slices.Chunk(choices, mostOptions)) {
		if i == mostRows {
			break
		}
		a.Revision = i // of no recipe: it tells the menus of one message apart
		id, ok := Button(l.key, a)
		if !ok {
			a.What = "" // too long to carry: the adapter looks it up
			if id, ok = Button(l.key, a); !ok {
				return nil
			}
		}
		m := discordgo.SelectMenu{MenuType: discordgo.StringSelectMenu, CustomID: id, Placeholder: cut(l.say(placeholder), mostPlaceholder)}
		seen := map[string]bool{}
		for _, c := range page {
			c = strings.TrimSpace(strings.ReplaceAll(clean(c), "\n", " "))
			v := cut(c, mostOption)
			if v == "" || seen[v] {
				continue
			}
			seen[v] = true
			m.Options = append(m.Options, discordgo.SelectMenuOption{Label: v, Value: v})
		}
		if len(m.Options) > 0 {
			rows = append(rows, discordgo.ActionsRow{Components: []discordgo.MessageComponent{m}})
		}
	}
	return rows
}
