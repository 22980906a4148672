package discord

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/bwmarrin/discordgo"

	"tamis/bot/discord/look"
	"tamis/kb"
	"tamis/kb/name"
)

// Interaction types.
const (
	kindCommand      = int(discordgo.InteractionApplicationCommand)
	kindComponent    = int(discordgo.InteractionMessageComponent)
	kindAutocomplete = int(discordgo.InteractionApplicationCommandAutocomplete)
	kindForm         = int(discordgo.InteractionModalSubmit)
)

// entry is a command, or an entry of a message's menu. What comes later is one
// more of them: it becomes words for the asker, as if somebody had written them.
type entry struct {
	name    string
	onText  bool // of a message's menu
	about   string
	options []*discordgo.ApplicationCommandOption
	private bool // of use to who asked only
	anew    bool // says all that is meant: nothing goes on from the talk
	// words are what is asked; files go with them. refuse is what to say instead.
	words func(a *Adapter, it *interaction) (text string, files []attachment, refuse string)
}

func textOption(name, about string, required bool) *discordgo.ApplicationCommandOption {
	return &discordgo.ApplicationCommandOption{Type: discordgo.ApplicationCommandOptionString, Name: name, Description: about, Required: required, MaxLength: 1500}
}

// recipeOption is a recipe's name, offered while it is typed.
func recipeOption(required bool) *discordgo.ApplicationCommandOption {
	o := textOption("name", "The recipe", required)
	o.Autocomplete, o.MaxLength = true, 100
	return o
}

var entries = []entry{
	{name: "ask", about: "Ask the book anything: amounts, sizes, times, allergens", options: []*discordgo.ApplicationCommandOption{textOption("question", "As you would say it", true)},
		words: func(_ *Adapter, it *interaction) (string, []attachment, string) {
			return it.option("question"), nil, ""
		}},
	{name: "recipe", about: "A recipe at a size", anew: true, options: []*discordgo.ApplicationCommandOption{recipeOption(true), textOption("size", "× 3, 50 covers, 2 kg", false)},
		words: func(_ *Adapter, it *interaction) (string, []attachment, string) {
			size := it.option("size")
			if n := strings.Trim(size, "0123456789.,½¼¾ "); n == "" && size != "" {
				size = "× " + size
			}
			if size == "" {
				size = "× 1" // whatever size the talk is at
			}
			return look.Spoken(it.option("name")) + " " + size, nil, ""
		}},
	{name: "timers", about: "What is ready, what runs", private: true, words: func(*Adapter, *interaction) (string, []attachment, string) { return "what is running", nil, "" }},
	{name: "push", about: "Offer a recipe's file for the book", options: []*discordgo.ApplicationCommandOption{
		{Type: discordgo.ApplicationCommandOptionAttachment, Name: "file", Description: "The recipe, a .yaml file", Required: true}, textOption("why", "What it is for; it stays in the book's history", false)},
		words: func(a *Adapter, it *interaction) (string, []attachment, string) {
			f, ok := it.Data.Resolved.Attachments[it.option("file")]
			if !ok || !recipeFile(f.Name) {
				return "", nil, "file no recipe"
			}
			return it.option("why"), []attachment{f}, ""
		}},
	{name: "history", about: "What was changed in a recipe, and by whom", private: true, anew: true, options: []*discordgo.ApplicationCommandOption{recipeOption(true)},
		words: func(_ *Adapter, it *interaction) (string, []attachment, string) {
			return "history of " + look.Spoken(it.option("name")), nil, ""
		}},
	{name: "help", about: "What can be asked", private: true, words: func(*Adapter, *interaction) (string, []attachment, string) { return "help", nil, "" }},
	{name: "Answer this", onText: true, words: func(a *Adapter, it *interaction) (string, []attachment, string) {
		m := it.Data.Resolved.Messages[it.Data.Target]
		if m.Author == nil || m.Author.Bot || m.Author.ID == a.me {
			return "", nil, "from a bot"
		}
		text := a.textOf(&m)
		if text == "" {
			return "", nil, "nothing there"
		}
		return text, nil, ""
	}},
	{name: "Make this a timer", onText: true, words: func(a *Adapter, it *interaction) (string, []attachment, string) {
		m := it.Data.Resolved.Messages[it.Data.Target]
		if m.Author != nil && m.Author.Bot && m.Author.ID != a.me {
			return "", nil, "from a bot"
		}
		text := a.textOf(&m)
		if text == "" {
			return "", nil, "nothing there"
		}
		return "timer: " + text, nil, ""
	}},
}

func (it *interaction) option(name string) string {
	for _, o := range it.Data.Options {
		if o.Name == name {
			return strings.TrimSpace(o.text())
		}
	}
	return ""
}

// definitions are the commands as the platform registers them.
func (a *Adapter) definitions() []*discordgo.ApplicationCommand {
	contexts := []discordgo.InteractionContextType{discordgo.InteractionContextGuild, discordgo.InteractionContextBotDM}
	places := []discordgo.ApplicationIntegrationType{discordgo.ApplicationIntegrationGuildInstall}
	var out []*discordgo.ApplicationCommand
	for _, e := range a.entries {
		c := &discordgo.ApplicationCommand{Name: e.name, Type: discordgo.ChatApplicationCommand, Description: e.about, Options: e.options, Contexts: &contexts, IntegrationTypes: &places}
		if e.onText {
			c.Type = discordgo.MessageApplicationCommand
		}
		out = append(out, c)
	}
	return out
}

func (a *Adapter) entryOf(it *interaction) *entry {
	for i := range a.entries {
		if e := &a.entries[i]; e.name == it.Data.Name && e.onText == (it.Data.Kind == int(discordgo.MessageApplicationCommand)) {
			return e
		}
	}
	return nil
}

// interacted takes an interaction: what needs no thought is answered aside, the
// rest in its channel's order, acknowledged in good time.
func (a *Adapter) interacted(it *interaction) {
	switch it.Type {
	case kindAutocomplete:
		a.aside.Go(func() { defer a.survive("an autocomplete"); a.complete(a.work, it) })
	case kindCommand:
		e := a.entryOf(it)
		if e == nil {
			a.aside.Go(func() { a.tell(it, a.say(nil, "no such command")) })
			return
		}
		way := wayCommand
		if e.onText {
			way = wayEntry
		}
		a.queue(it, e.private, func(ctx context.Context, r *responder) { a.command(ctx, it, e, way, r) })
	case kindComponent, kindForm:
		a.pressed(it)
	}
}

// tell answers an interaction with words for who acted only.
func (a *Adapter) tell(it *interaction, text string) {
	defer a.survive("an interaction")
	a.respond(it, true).answer(a.work, a.plain(nil, text), true)
}

// queue puts an interaction into its channel's lane.
func (a *Adapter) queue(it *interaction, private bool, run func(ctx context.Context, r *responder)) {
	r := a.respond(it, private)
	a.touch(it.Channel)
	ok := a.lanes.add(it.Channel, item{id: number(it.ID), run: func(ctx context.Context) {
		defer a.survive("an interaction")
		run(ctx, r)
	}})
	if !ok {
		a.count.Count("too many waiting")
		a.aside.Go(func() { r.answer(a.work, a.plain(nil, a.say(nil, "busy")), true) })
	}
}

// command answers a command.
func (a *Adapter) command(ctx context.Context, it *interaction, e *entry, way string, r *responder) {
	text, files, refuse := e.words(a, it)
	roles := it.roles()
	if it.Guild != "" && time.Since(it.came) > stale {
		roles = a.rolesNow(ctx, it.Guild, it.who())
	}
	v, err := a.visit(ctx, it.Guild, it.who(), roles, text)
	switch {
	case err != nil:
		a.log.Error("where somebody belongs could not be asked", "err", err)
		v.say = a.say(nil, "failed")
	case refuse != "" && v.say == "":
		v.say = a.say(v.house, refuse)
	}
	if v.say == "" && len(files) > 0 {
		var complaint string
		if text, complaint = a.withFiles(ctx, v.house, text, files); complaint != "" {
			v.say = complaint
		}
	}
	if n := it.option("name"); n != "" {
		if full := a.whole(ctx, v.house, n); full != "" {
			text = strings.Replace(text, look.Spoken(n), look.Spoken(full), 1)
		}
	}
	v.anew = e.anew
	a.reply(ctx, it, v, text, e.private, way, r)
}

// reply asks and answers an interaction.
func (a *Adapter) reply(ctx context.Context, it *interaction, v visitor, text string, private bool, way string, r *responder) {
	v.interaction = true
	w := a.ask(ctx, v, it.Channel, text, a.o.Now(), true)
	if ctx.Err() != nil {
		r.settle()
		return // it is taken up at the next start
	}
	if !r.answer(ctx, w.parts, private || w.quiet) {
		return
	}
	a.count.Answered(way, time.Since(it.came))
	a.worded(w, func(ctx context.Context, w worked) {
		if w.finish(a, v, it.Channel, text); len(w.parts) > 0 {
			r.change(ctx, w.parts[0])
		}
	})
}

// mostChoices is how many the platform shows.
const mostChoices = 25

// complete offers names of recipes for what is typed.
func (a *Adapter) complete(ctx context.Context, it *interaction) {
	choices := []map[string]any{}
	typed := ""
	for _, o := range it.Data.Options {
		if o.Focused {
			typed = o.text()
		}
	}
	h := a.houseOf(it.Guild)
	if it.Guild == "" {
		h = a.typing(ctx, it.who())
	}
	if h != nil {
		if b, err := h.Asker.Book(ctx); err == nil {
			for _, n := range offered(a.folded(h, b.Snap), typed, func(text string) []string { return b.Lex.Nearest(text, mostChoices) }) {
				c := map[string]any{"name": label(n), "value": label(n)}
				if !slices.ContainsFunc(choices, func(x map[string]any) bool { return x["name"] == c["name"] }) {
					choices = append(choices, c)
				}
			}
		}
	}
	ctx, cancel := context.WithDeadline(ctx, it.came.Add(answerWithin))
	defer cancel()
	err := a.rest.Do(ctx, http.MethodPost, "/interactions/"+it.ID+"/"+it.Token+"/callback", callback{callChoices, map[string]any{"choices": choices}}, nil)
	if err != nil && ctx.Err() == nil {
		a.log.Warn("names could not be offered", "err", err)
	}
	a.count.Answered("autocomplete", time.Since(it.came))
}

// typist is the house of somebody who types in a direct talk.
type typist struct {
	house *House
	until time.Time
}

// typing is the house whose names are offered to somebody in a direct talk, nil:
// none. It is not asked for at each letter.
func (a *Adapter) typing(ctx context.Context, who string) *House {
	now := time.Now()
	a.mu.Lock()
	t, ok := a.types[who]
	a.mu.Unlock()
	if ok && now.Before(t.until) {
		return t.house
	}
	v, err := a.visit(ctx, "", who, nil, "")
	if err != nil {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.types) >= 1000 {
		clear(a.types)
	}
	a.types[who] = typist{v.house, now.Add(time.Minute)}
	return v.house
}

// foldedName is a recipe's name and what it is also called, folded.
type foldedName struct {
	name  string
	folds []string
}

// foldedBook are the names of one snapshot of a house's book.
type foldedBook struct {
	of    *kb.Snapshot
	names []foldedName
}

// folded are the names of a book, folded once a book and not at each letter typed.
func (a *Adapter) folded(h *House, s *kb.Snapshot) []foldedName {
	a.mu.Lock()
	f := a.folds[h.ID]
	a.mu.Unlock()
	if f.of == s {
		return f.names
	}
	f = foldedBook{of: s}
	for _, r := range s.Recipes {
		n := foldedName{name: r.Name}
		for _, x := range append([]string{r.Name}, r.Also...) {
			n.folds = append(n.folds, name.Fold(x))
		}
		f.names = append(f.names, n)
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.folds[h.ID] = f
	return f.names
}

// offered are the names that fit what is typed: those that begin so, those with
// a word that begins so, those that hold it, those that are meant with slips.
func offered(names []foldedName, typed string, near func(string) []string) []string {
	type hit struct {
		name string
		rank int
	}
	want := name.Fold(strings.TrimSpace(typed))
	inside := " " + want
	var hits []hit
	for _, r := range names {
		best := 9
		for _, f := range r.folds {
			switch {
			case want == "" || strings.HasPrefix(f, want):
				best = min(best, 0)
			case strings.Contains(f, inside):
				best = min(best, 1)
			case strings.Contains(f, want):
				best = min(best, 2)
			}
		}
		if best < 9 {
			hits = append(hits, hit{r.name, best})
		}
	}
	slices.SortFunc(hits, func(x, y hit) int { return cmp.Or(cmp.Compare(x.rank, y.rank), cmp.Compare(x.name, y.name)) })
	var out []string
	for _, h := range hits[:min(len(hits), mostChoices)] {
		out = append(out, h.name)
	}
	if want != "" {
		for _, n := range near(typed) {
			if len(out) < mostChoices && !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}

// mostLabel is how many characters of a name the platform shows, and gives back.
const mostLabel = 100

// label is a name as it is offered: of a longer one beginning and end.
func label(name string) string {
	name = strings.TrimSpace(name)
	r := []rune(name)
	if len(r) <= mostLabel {
		return name
	}
	return strings.TrimSpace(string(r[:60])) + "…" + strings.TrimSpace(string(r[len(r)-(mostLabel-61):]))
}

// whole is the name of the recipe that a label stands for; "": of none that was cut.
func (a *Adapter) whole(ctx context.Context, h *House, text string) string {
	if h == nil || !strings.Contains(text, "…") {
		return ""
	}
	b, err := h.Asker.Book(ctx)
	if err != nil {
		return ""
	}
	for _, r := range b.Snap.Recipes {
		if label(r.Name) == text && r.Name != text {
			return r.Name
		}
	}
	return ""
}
