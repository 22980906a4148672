package discord_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"tamis/bot/discord/discordtest"
)

// What is written here is asked of the adapter as somebody asks who wants to do harm
// with words: ring everybody, hide or fake a number, break out of a code block.

// mark is in every hostile text, so that what became of it can be found.
const mark = "zq"

// unkind are texts, and what of each must not stand anywhere outside a code block as it is.
func unkind(role *discordtest.Role, user *discordtest.User, channel *discordtest.Channel) map[string][]string {
	return map[string][]string{
		"@everyone zq @here":                       {"@everyone", "@here"},
		"<@&" + role.ID + "> zq":                   {"<@&" + role.ID + ">"},
		user.Mention() + " zq":                     {user.Mention()},
		"<@!" + user.ID + "> zq":                   {"<@!" + user.ID + ">"},
		channel.Mention() + " zq":                  {channel.Mention()},
		"</ask:123456789012345678> zq":             {"</ask:123456789012345678>"},
		"<t:0:R> zq":                               {"<t:0:R>"},
		"<:zq:123456789012345678>":                 {"<:zq:123456789012345678>"},
		"<a:zq:123456789012345678>":                {"<a:zq:123456789012345678>"},
		"<id:customize> zq":                        {"<id:customize>"},
		"[zq 450 g](https://evil.example)":         {"[zq 450 g](https://"},
		"[zq](<https://evil.example> 'x')":         {"[zq](<"},
		"**zqb** *zqi* __zqu__ _zqj_ ~~zqs~~":      {"**zqb**", "*zqi*", "__zqu__", "_zqj_", "~~zqs~~"},
		"||zq 450 g||":                             {"||zq"},
		"`zqc` ``zqd``":                            {"`zqc`", "``zqd"},
		"```\nzqf **zqb** <@&" + role.ID + ">```":  {"```\nzqf", "**zqb**", "<@&" + role.ID + ">"},
		"```ansi\n\u001b[31mzq 9 g\u001b[0m```":    {"\u001b", "```ansi"},
		"a\n# zqh":                                 {"\n# zqh"},
		"a\n-# zqsmall":                            {"\n-# zqsmall"},
		"a\n> zqq\n>>> zqr":                        {"\n> zqq", "\n>>> zqr"},
		"a\n- zql\n1. zqn":                         {"\n- zql"},
		"\\**zq** \\":                              {"**zq"},
		"zq \u202e054 g\u202c x":                   nil,
		"zq \u2067054 g":                           nil,
		"zq @\u200beveryone @every\u2060one":       nil,
		"zq\u0000 \u0007 \ufeff\u00ad\u115f\u3164": nil,
		"zq" + strings.Repeat("\u0301", 300):       nil,
		"zq " + strings.Repeat("||", 900):          {"||"},
		"zq " + strings.Repeat("`", 1901):          nil,
		"zq " + strings.Repeat("*_~|>#", 300):      {"*_~|>#"},
		"zq " + strings.Repeat("漢字", 900):          nil,
		"zq " + strings.Repeat("👩‍🍳", 300):         nil,
		"zq " + strings.Repeat("1", 1900):          nil,
	}
}

var (
	fenced  = regexp.MustCompile("(?s)```.*?```")
	inlined = regexp.MustCompile("``[^`]+``|`[^`\n]+`")
	bidi    = regexp.MustCompile("[\u202a-\u202e\u2066-\u2069]")
	control = regexp.MustCompile("[\u0000-\u0008\u000b-\u001f\u007f]")
)

// outside is a text without its code, as the client sees it: what is escaped
// opens none.
func outside(text string) string {
	var b strings.Builder
	for len(text) > 0 {
		if text[0] == '\\' && len(text) > 1 {
			b.WriteRune('\ufffc')
			text = text[2:]
			continue
		}
		if text[0] == '`' {
			for _, code := range []*regexp.Regexp{fenced, inlined} {
				if at := code.FindStringIndex(text); at != nil && at[0] == 0 {
					b.WriteString(" ")
					text = text[at[1]:]
					break
				}
			}
			if len(text) == 0 || text[0] != '`' {
				continue
			}
		}
		b.WriteByte(text[0])
		text = text[1:]
	}
	return b.String()
}

// harmless holds that a message does nothing of what the hostile text wants.
func harmless(t *testing.T, m discordtest.Message, hostile string, never []string, may ...string) {
	t.Helper()
	for _, p := range m.Pings {
		if !slices.Contains(may, p) {
			t.Errorf("%.60q pings %s", hostile, p)
		}
	}
	parts := []string{m.Content}
	for _, e := range m.Embeds {
		for _, k := range []string{"title", "description"} {
			s, _ := e[k].(string)
			parts = append(parts, s)
		}
		fields, _ := e["fields"].([]any)
		for _, f := range fields {
			for _, k := range []string{"name", "value"} {
				s, _ := f.(map[string]any)[k].(string)
				parts = append(parts, s)
			}
		}
	}
	for _, p := range parts {
		free := outside(p)
		for _, n := range never {
			if strings.Contains(free, n) || strings.HasPrefix(n, "\n") && strings.HasPrefix(free, n[1:]) {
				t.Errorf("%.60q comes out alive (%q) in:\n%s", hostile, n, p)
			}
		}
	}
	all := m.Text()
	for _, b := range m.Buttons() {
		all += b.Label
	}
	if s := bidi.FindString(all); s != "" {
		t.Errorf("%.60q turns the text round (%U) in: %q", hostile, []rune(s), all)
	}
	if s := control.FindString(all); s != "" {
		t.Errorf("%.60q brings a control character (%U) in: %q", hostile, []rune(s), all)
	}
	if !utf8.ValidString(all) {
		t.Errorf("%.60q breaks a letter in: %q", hostile, all)
	}
}

// TestUnkindQuestion: what is asked comes back as text and as nothing else, whichever way it came.
func TestUnkindQuestion(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, discordtest.Options{GlobalRate: -1, Rate: discordtest.Limit{Requests: 1000, Per: 1e9}})
	role, bo := g.Role("chef", 0), g.Member("Bo")
	var mu sync.Mutex
	var all []discordtest.Message
	srv.OnBotMessage(func(m discordtest.Message) { mu.Lock(); all = append(all, m); mu.Unlock() })
	start(t, options(t, srv, saying(t)))
	srv.WaitReady(1)
	srv.WaitCommands()
	dm := srv.DM(ada)
	texts := unkind(role, bo, pastry)
	for i, text := range slices.Sorted(maps.Keys(texts)) {
		never := texts[text]
		mu.Lock()
		all = nil
		mu.Unlock()
		var m discordtest.Message
		switch i % 3 {
		case 0:
			m = pastry.Reply(pastry.Ask(ada, text))
		case 1:
			m = dm.Reply(dm.Say(ada, text))
		default:
			m = pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: text}).Message()
		}
		if !strings.Contains(m.Text(), mark) {
			t.Errorf("%.60q came back without its words: %.100q", text, m.Text())
		}
		mu.Lock()
		for _, m := range append(slices.Clone(all), m) {
			harmless(t, m, text, never, ada.ID)
		}
		mu.Unlock()
	}
	if c := srv.Counts(); c.Late != 0 || c.Invalid != 0 {
		t.Errorf("%+v", c)
	}
}

// TestUnkindLength: questions as long as the platform lets them be are answered.
func TestUnkindLength(t *testing.T) {
	t.Parallel()
	srv, _, pastry, ada := kitchen(t)
	start(t, options(t, srv, demoAsker(t)))
	srv.WaitReady(1)
	srv.WaitCommands()
	for i, text := range []string{strings.Repeat("yolk ", 300), strings.Repeat("x", 1500), strings.Repeat("3 g ", 100), strings.Repeat("(", 1500), strings.Repeat("\n", 1400) + "yolk"} {
		var m discordtest.Message
		if i%2 == 0 {
			m = pastry.Slash(ada, "ask", discordtest.Opt{Name: "question", Value: text}).Message()
		} else {
			m = pastry.Reply(pastry.Ask(ada, text))
		}
		if m.Text() == "" || strings.Contains(m.Text(), "went wrong") {
			t.Errorf("%.20q… is answered: %q", text, m.Text())
		}
	}
}

// TestUnkindBook: names, notes and steps of a book are text and nothing else: in
// answers, under buttons, in menus, in the names of threads.
func TestUnkindBook(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, discordtest.Options{GlobalRate: -1, Rate: discordtest.Limit{Requests: 1000, Per: 1e9}})
	role, bo := g.Role("chef", 0), g.Member("Bo")
	var mu sync.Mutex
	var all []discordtest.Message
	srv.OnBotMessage(func(m discordtest.Message) { mu.Lock(); all = append(all, m); mu.Unlock() })
	texts := unkind(role, bo, pastry)
	var order []string
	for text := range texts {
		if utf8.RuneCountInString(text) < 200 {
			order = append(order, text)
		}
	}
	slices.Sort(order)
	files := house(role.ID)
	for i, text := range order {
		files[fmt.Sprintf("recipes/unkind%02d.yaml", i)] = fmt.Sprintf("recipe: %[1]s\nnotes: %[2]s\ningredients:\n  - flour: 200 g\n  - %[3]s: 150 g\n  - sugar: 100 g\nmethod:\n  - bake: %[2]s\n    at: 160 °C\n    for: 18 min\n",
			yamlText(fmt.Sprintf("wonder %02d %s", i, text)), yamlText("mind "+text), yamlText("pear "+text))
	}
	a, _ := bookAsker(t, files)
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	srv.WaitCommands()
	shown := 0
	for i, text := range order {
		mu.Lock()
		all = nil
		mu.Unlock()
		it := pastry.Autocomplete(ada, "recipe", discordtest.Opt{Name: "name", Value: fmt.Sprintf("wonder %02d", i), Focused: true})
		name := fmt.Sprintf("wonder %02d", i)
		for _, c := range it.Choices() {
			if v, _ := c.Value.(string); strings.HasPrefix(v, name) {
				name = v
			}
			if bidi.MatchString(c.Name) || control.MatchString(c.Name) {
				t.Errorf("the name offered turns round: %q", c.Name)
			}
		}
		m := pastry.Slash(ada, "recipe", discordtest.Opt{Name: "name", Value: name}).Message()
		if strings.Contains(m.Text(), "200 g") {
			shown++
		}
		for j, b := range m.Buttons() {
			if b.CustomID == "" || b.Disabled || i%3 != j%3 { // each kind of them a few times
				continue
			}
			if r := pastry.Press(bo, m, b.CustomID).Answer(); r.Kind == 5 {
				t.Errorf("%s is slow", b.Label)
			}
		}
		pastry.Reply(pastry.Ask(ada, fmt.Sprintf([]string{"how much pear in wonder %02d", "wonder %02d method", "allergens in wonder %02d"}[i%3], i)))
		mu.Lock()
		for _, m := range append(slices.Clone(all), m) {
			harmless(t, m, text, texts[text], ada.ID, bo.ID)
		}
		mu.Unlock()
	}
	if shown < len(order)/2 {
		t.Errorf("only %d of %d recipes could be shown at all", shown, len(order))
	}
}

// yamlText is a text as YAML takes it whatever is in it.
func yamlText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f || r >= 0x80:
			fmt.Fprintf(&b, "\\U%08X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// TestUnkindForm: whatever is typed into a form is a number, or is said not to be one.
func TestUnkindForm(t *testing.T) {
	t.Parallel()
	srv, g, pastry, ada := kitchen(t, discordtest.Options{GlobalRate: -1})
	role := g.Role("chef", 0)
	a, _ := bookAsker(t, house("1"))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	card := pastry.Reply(pastry.Ask(ada, "buckwheat crumble"))
	form := pastry.Press(ada, card, card.ButtonID("Batches…")).Modal()
	id := form.Fields[0].CustomID
	for _, typed := range []string{"", " ", "0", "-3", "1e9", "1e400", "NaN", "∞", "Inf", "0x10", "1/0", "1/3", "١٢", "½", "2 and delete the recipe", "3\nyes", "@everyone", "<@&" + role.ID + ">",
		"**9**", strings.Repeat("9", 40), strings.Repeat("9", 4000), strings.Repeat("(", 3999), "2; butter in the buckwheat crumble is now 160 g", "1,5", "1.5.5", "\u202e51"} {
		m := form.Submit(map[string]string{id: typed}).Message()
		if m.Text() == "" || strings.Contains(m.Text(), "went wrong") || m.ButtonID("Yes, write it") != "" {
			t.Errorf("%.40q is answered: %.200s", typed, m.Text())
		}
		harmless(t, m, typed, []string{"@everyone", "<@&" + role.ID + ">", "**9**"}, ada.ID)
		if typed == "0" || typed == "-3" || typed == "1/0" || typed == "" || typed == "NaN" || typed == "1.5.5" {
			if !m.Ephemeral {
				t.Errorf("%q is taken for a number: %s", typed, m.Text())
			}
		}
	}
	has(t, form.Submit(map[string]string{id: "1,5"}).Message().Text(), "300 g")
}

// TestUnkindFile: the name and the words of a file are data.
func TestUnkindFile(t *testing.T) {
	t.Parallel()
	srv, g, pastry, _ := kitchen(t, discordtest.Options{GlobalRate: -1})
	chef := g.Role("chef", 0)
	ada, bo := g.Member("Ada", chef), g.Member("Bo")
	a, kept := bookAsker(t, house(chef.ID))
	start(t, options(t, srv, a))
	srv.WaitReady(1)
	texts := unkind(chef, bo, pastry)
	for i, text := range slices.Sorted(maps.Keys(texts)) {
		if utf8.RuneCountInString(text) > 200 || i%2 != 0 { // the others are in the book of TestUnkindBook as well
			continue
		}
		never := texts[text]
		name := strings.NewReplacer("/", "", "\n", "", "\u0000", "").Replace(text) + ".yaml"
		odd := ""
		if i%4 == 0 {
			odd = text + ": 3\n" // what a recipe does not have
		}
		yaml := "recipe: " + yamlText("granita "+text) + "\n" + odd + "ingredients:\n  - " + yamlText("pear "+text) + ": 500 g\n"
		harmless(t, pastry.Reply(pastry.Ask(ada, "new "+text, discordtest.With(name, "application/yaml", []byte(yaml)))), text, never, ada.ID)
	}
	for _, name := range []string{"../house.yaml", "..\\..\\house.yaml", "house.yaml", strings.Repeat("x", 300) + ".yaml"} {
		m := pastry.Reply(pastry.Ask(ada, "this", discordtest.With(strings.ReplaceAll(name, "/", "%2F"), "text/yaml", []byte("recipe: sorrel ice\ningredients:\n  - sorrel: 90 g\n"))))
		if yes := m.ButtonID("Yes, write it"); yes != "" {
			pastry.Press(ada, m, yes).Message()
		}
	}
	log, err := kept.Log(t.Context(), "home", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range log[1:] { // the first one is the book as it was found
		for _, f := range e.Files {
			if p := fmt.Sprint(f); strings.Contains(p, "house.yaml") || strings.Contains(p, "..") {
				t.Errorf("a file of another name was written: %+v", e)
			}
		}
	}
}
