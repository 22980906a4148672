package discordtest

import (
	"bytes"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

// The peer of these tests is bwmarrin/discordgo v0.29.0: a client that none of
// us wrote, so that the stand-in is understood by somebody else's reading of
// the platform.

func peer(t *testing.T, s *Server) *discordgo.Session {
	t.Helper()
	d, err := discordgo.New("Bot " + s.Token())
	if err != nil {
		t.Fatal(err)
	}
	d.Client = &http.Client{Transport: Toward(s.API()), Timeout: 10 * time.Second}
	d.Identify.Intents = IntentGuilds | IntentGuildMessages | IntentDirectMessages
	return d
}

func open(t *testing.T, s *Server, d *discordgo.Session) {
	t.Helper()
	if err := d.Open(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = d.Close() })
	s.WaitReady(1)
}

func quiet() *discordgo.MessageAllowedMentions {
	return &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}
}

// echo answers each message with a reply of the same text.
func echo(d *discordgo.Session) {
	d.AddHandler(func(d *discordgo.Session, m *discordgo.MessageCreate) {
		if m.Author == nil || m.Author.Bot {
			return
		}
		_, _ = d.ChannelMessageSendComplex(m.ChannelID, &discordgo.MessageSend{Content: "heard: " + m.Content, AllowedMentions: quiet(), Reference: m.Reference(),
			Components: []discordgo.MessageComponent{discordgo.ActionsRow{Components: []discordgo.MessageComponent{
				discordgo.Button{Label: "×2", CustomID: "x2", Style: discordgo.PrimaryButton}, discordgo.Button{Label: "form", CustomID: "form", Style: discordgo.SecondaryButton}}}}})
	})
}

func TestPeerTalk(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada")
	d := peer(t, s)
	echo(d)
	open(t, s, d)
	id := s.WaitIdentify(1)
	if id.Token != "Bot "+s.Token() && id.Token != s.Token() || id.Intents != IntentGuilds|IntentGuildMessages|IntentDirectMessages || id.Properties["$os"] == nil || !id.Compress {
		t.Errorf("IDENTIFY read as %+v", id)
	}
	q := c.Ask(ada, "how much walnut")
	a := c.Reply(q)
	if a.Content != "heard: "+s.Mention()+" how much walnut" || len(a.Pings) != 0 || a.ButtonID("×2") != "x2" {
		t.Errorf("the reply is %+v", a)
	}
	// without a mention the text is hidden, as the bot has no MESSAGE_CONTENT
	if a := c.Reply(c.Say(ada, "nothing for the bot")); a.Content != "heard: " {
		t.Errorf("hidden text came through: %q", a.Content)
	}
	dm := s.DM(ada)
	if a := dm.Reply(dm.Say(ada, "direct")); a.Content != "heard: direct" {
		t.Errorf("in a direct talk: %q", a.Content)
	}
	if a := c.Reply(c.Say(ada, "more", ReplyTo(a))); a.Content != "heard: more" {
		t.Errorf("a reply to the bot mentions it: %q", a.Content)
	}
}

func TestPeerREST(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada", g.Role("commis", 0))
	d := peer(t, s)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	me, err := d.User("@me")
	must(err)
	if me.ID != s.Bot().ID || !me.Bot {
		t.Errorf("@me is %+v", me)
	}
	gb, err := d.GatewayBot()
	must(err)
	if gb.Shards != 1 || gb.SessionStartLimit.Remaining != 1000 || gb.SessionStartLimit.MaxConcurrency != 1 {
		t.Errorf("gateway/bot is %+v", gb)
	}
	app, err := d.Application("@me")
	must(err)
	if app.ID != me.ID {
		t.Errorf("the application is %+v", app)
	}
	gu, err := d.Guild(g.ID)
	must(err)
	mem, err := d.GuildMember(g.ID, ada.ID)
	must(err)
	roles, err := d.GuildRoles(g.ID)
	must(err)
	chs, err := d.GuildChannels(g.ID)
	must(err)
	ch, err := d.Channel(c.ID)
	must(err)
	if gu.Name != "Lodehavn" || len(mem.Roles) != 1 || len(roles) != 2 || len(chs) != 1 || ch.Name != "pastry" {
		t.Errorf("guild %q, member %+v, %d roles, %d channels, channel %q", gu.Name, mem, len(roles), len(chs), ch.Name)
	}
	must(d.ChannelTyping(c.ID))
	m, err := d.ChannelMessageSendComplex(c.ID, &discordgo.MessageSend{Content: "plan", AllowedMentions: quiet(),
		Embeds: []*discordgo.MessageEmbed{{Title: "Brown butter", Fields: []*discordgo.MessageEmbedField{{Name: "butter", Value: "250 g"}}}},
		Files:  []*discordgo.File{{Name: "plan.csv", ContentType: "text/csv", Reader: strings.NewReader("a;b")}}})
	must(err)
	if len(m.Attachments) != 1 || m.Attachments[0].Size != 3 || len(m.Embeds) != 1 {
		t.Errorf("the message with a file came back as %+v", m)
	}
	resp, err := http.Get(m.Attachments[0].URL)
	must(err)
	var b bytes.Buffer
	_, err = b.ReadFrom(resp.Body)
	must(err)
	_ = resp.Body.Close()
	if b.String() != "a;b" {
		t.Errorf("the attachment holds %q", b.String())
	}
	s.Advance(25 * time.Hour)
	resp, err = http.Get(m.Attachments[0].URL)
	must(err)
	_ = resp.Body.Close()
	if resp.StatusCode != 404 {
		t.Errorf("an old link answers %d", resp.StatusCode)
	}
	text := "plan 2"
	if _, err = d.ChannelMessageEditComplex(&discordgo.MessageEdit{Channel: c.ID, ID: m.ID, Content: &text, AllowedMentions: quiet()}); err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		c.Say(ada, strings.Repeat("x", i+1))
	}
	all, err := d.ChannelMessages(c.ID, 100, "", m.ID, "")
	must(err)
	if len(all) != 5 || all[0].Content != "" || all[4].ID >= all[0].ID {
		t.Errorf("after the first: %d messages", len(all))
	}
	around, err := d.ChannelMessages(c.ID, 3, "", "", all[2].ID)
	must(err)
	if len(around) != 3 || around[1].ID != all[2].ID {
		t.Errorf("around the middle: %d messages", len(around))
	}
	th, err := d.MessageThreadStart(c.ID, m.ID, "the whole plan", 1440)
	must(err)
	if th.ID != m.ID || c.WaitThread().Name != "the whole plan" {
		t.Errorf("the thread is %+v", th)
	}
	_, err = d.ChannelMessageSendComplex(th.ID, &discordgo.MessageSend{Content: "in the thread", AllowedMentions: quiet()})
	must(err)
	if _, err = d.MessageThreadStart(c.ID, m.ID, "again", 1440); code(err) != 160004 {
		t.Errorf("a second thread: %v", err)
	}
	dm, err := d.UserChannelCreate(ada.ID)
	must(err)
	if dm.ID != s.DM(ada).ID {
		t.Error("the direct talk has two ids")
	}
	s.RefuseDM(ada, true)
	if _, err = d.ChannelMessageSendComplex(dm.ID, &discordgo.MessageSend{Content: "x", AllowedMentions: quiet()}); code(err) != 50007 {
		t.Errorf("a refused direct talk: %v", err)
	}
	c.Deny(s.Bot(), SendMessages)
	if _, err = d.ChannelMessageSendComplex(c.ID, &discordgo.MessageSend{Content: "x", AllowedMentions: quiet()}); code(err) != 50013 {
		t.Errorf("without SEND_MESSAGES: %v", err)
	}
	c.Deny(s.Bot(), ViewChannel)
	if _, err = d.Channel(c.ID); code(err) != 50001 {
		t.Errorf("without VIEW_CHANNEL: %v", err)
	}
	c.Allow(s.Bot(), ViewChannel|SendMessages)
	must(d.MessageReactionAdd(c.ID, m.ID, "✅"))
	must(d.MessageReactionRemove(c.ID, m.ID, "✅", "@me"))
	must(d.ThreadJoin(th.ID))
	yes := true
	_, err = d.ChannelEdit(th.ID, &discordgo.ChannelEdit{Archived: &yes})
	must(err)
	if arch, err := d.ThreadsArchived(c.ID, nil, 0); err != nil || len(arch.Threads) != 1 {
		t.Errorf("archived threads: %v, %v", arch, err)
	}
	must(d.ChannelMessageDelete(c.ID, m.ID))
	c.WaitGone(Message{ID: m.ID})
	if n := s.Counts(); n.Invalid != 3 || n.Typing != 1 {
		t.Errorf("counts: %+v", n)
	}
}

func code(err error) int {
	if e, ok := err.(*discordgo.RESTError); ok && e.Message != nil {
		return e.Message.Code
	}
	return 0
}

func TestPeerInteractions(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c := g.Channel("pastry")
	ada := g.Member("Ada")
	d := peer(t, s)
	echo(d)
	var mu sync.Mutex
	var faults []error
	note := func(err error) {
		if err != nil {
			mu.Lock()
			faults = append(faults, err)
			mu.Unlock()
		}
	}
	d.AddHandler(func(d *discordgo.Session, i *discordgo.InteractionCreate) {
		respond := func(kind discordgo.InteractionResponseType, data *discordgo.InteractionResponseData) {
			note(d.InteractionRespond(i.Interaction, &discordgo.InteractionResponse{Type: kind, Data: data}))
		}
		switch i.Type {
		case discordgo.InteractionApplicationCommandAutocomplete:
			respond(discordgo.InteractionApplicationCommandAutocompleteResult, &discordgo.InteractionResponseData{
				Choices: []*discordgo.ApplicationCommandOptionChoice{{Name: "Walnut ice cream", Value: "walnut"}}})
		case discordgo.InteractionApplicationCommand:
			data := i.ApplicationCommandData()
			if data.TargetID != "" {
				respond(discordgo.InteractionResponseChannelMessageWithSource, &discordgo.InteractionResponseData{AllowedMentions: quiet(),
					Content: "about: " + data.Resolved.Messages[data.TargetID].Content, Flags: discordgo.MessageFlagsEphemeral})
				return
			}
			respond(discordgo.InteractionResponseDeferredChannelMessageWithSource, nil)
			text := "made: " + data.Options[0].StringValue()
			_, err := d.InteractionResponseEdit(i.Interaction, &discordgo.WebhookEdit{Content: &text, AllowedMentions: quiet()})
			note(err)
			_, err = d.FollowupMessageCreate(i.Interaction, true, &discordgo.WebhookParams{Content: "later", AllowedMentions: quiet(), Flags: discordgo.MessageFlagsEphemeral})
			note(err)
			if data.Options[0].StringValue() == "twice" {
				if err := d.InteractionRespond(i.Interaction, &discordgo.InteractionResponse{Type: 4, Data: &discordgo.InteractionResponseData{Content: "x", AllowedMentions: quiet()}}); code(err) != 40060 {
					note(err)
				}
			}
		case discordgo.InteractionMessageComponent:
			if i.MessageComponentData().CustomID == "form" {
				respond(discordgo.InteractionResponseModal, &discordgo.InteractionResponseData{CustomID: "f1", Title: "Covers", Components: []discordgo.MessageComponent{
					discordgo.ActionsRow{Components: []discordgo.MessageComponent{discordgo.TextInput{CustomID: "covers", Label: "How many", Style: discordgo.TextInputShort, Required: true, MaxLength: 4}}}}})
				return
			}
			respond(discordgo.InteractionResponseUpdateMessage, &discordgo.InteractionResponseData{Content: "doubled by " + i.Member.User.Username, AllowedMentions: quiet()})
		case discordgo.InteractionModalSubmit:
			v := i.ModalSubmitData().Components[0].(*discordgo.ActionsRow).Components[0].(*discordgo.TextInput).Value
			respond(discordgo.InteractionResponseChannelMessageWithSource, &discordgo.InteractionResponseData{Content: "covers " + v, AllowedMentions: quiet()})
		}
	})
	open(t, s, d)
	zero := int64(0)
	if _, err := d.ApplicationCommandBulkOverwrite(s.Bot().ID, "", []*discordgo.ApplicationCommand{
		{Name: "ask", Description: "Ask the book", Options: []*discordgo.ApplicationCommandOption{
			{Type: discordgo.ApplicationCommandOptionString, Name: "question", Description: "what", Required: true, Autocomplete: true}}},
		{Name: "Answer this", Type: discordgo.MessageApplicationCommand},
		{Name: "admin", Description: "for those in charge", DefaultMemberPermissions: &zero},
	}); err != nil {
		t.Fatal(err)
	}
	if got := c.Autocomplete(ada, "ask", Opt{Name: "question", Value: "waln", Focused: true}).Choices(); len(got) != 1 || got[0].Value != "walnut" {
		t.Errorf("choices: %v", got)
	}
	it := c.Slash(ada, "ask", Opt{Name: "question", Value: "pear"})
	if r := it.Answer(); r.Kind != 5 || r.Took > time.Second {
		t.Errorf("first answer: %+v", r)
	}
	if m := it.Message(); m.Content != "made: pear" || m.Ephemeral || m.Edits != 0 {
		t.Errorf("the message is %+v", m)
	}
	if m := it.Followup(0); m.Content != "later" || !m.Ephemeral {
		t.Errorf("later: %+v", m)
	}
	q := c.Ask(ada, "sorrel")
	if m := c.OnMessage(ada, "Answer this", q).Message(); !strings.HasSuffix(m.Content, "sorrel") || !m.Ephemeral {
		t.Errorf("the context entry gave %+v", m)
	}
	a := c.Reply(q)
	if m := c.Press(ada, a, "form").Modal().Submit(map[string]string{"covers": "40"}).Message(); m.Content != "covers 40" {
		t.Errorf("the form gave %q", m.Content)
	}
	if m := c.Press(ada, a, a.ButtonID("×2")).Message(); m.Content != "doubled by Ada" || m.ID != a.ID || m.Edits != 1 {
		t.Errorf("the press gave %+v", m)
	}
	c.Slash(ada, "ask", Opt{Name: "question", Value: "twice"}).Followup(0)
	s.Until("the second answer is refused", func() bool { return len(s.Violations()) == 1 })
	if v := s.TakeViolations(); !strings.Contains(v[0], "second first answer") {
		t.Errorf("violations: %v", v)
	}
	mu.Lock()
	defer mu.Unlock()
	for _, err := range faults {
		t.Error(err)
	}
}
