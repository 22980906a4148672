package discordtest

import (
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
)

// TestUnkind: what the platform does to those without a permission, and what breaks on
// the way, as the client library sees it.
func TestUnkind(t *testing.T) {
	t.Parallel()
	s := Start(t)
	g := s.Guild("Lodehavn")
	c, ada := g.Channel("pastry"), g.Member("Ada")
	d := peer(t, s)
	d.MaxRestRetries = 0
	send := func(in *discordgo.MessageSend) (*discordgo.Message, error) {
		in.AllowedMentions = quiet()
		return d.ChannelMessageSendComplex(c.ID, in)
	}
	card := []*discordgo.MessageEmbed{{Title: "Brown butter"}}
	c.Deny(s.Bot(), EmbedLinks)
	if _, err := send(&discordgo.MessageSend{Embeds: card}); code(err) != 50013 {
		t.Errorf("a card alone: %v", err)
	}
	m, err := send(&discordgo.MessageSend{Content: "words", Embeds: card})
	if err != nil || len(m.Embeds) != 0 || m.Content != "words" {
		t.Errorf("words and a card: %+v, %v", m, err)
	}
	empty := ""
	if _, err := d.ChannelMessageEditComplex(&discordgo.MessageEdit{Channel: c.ID, ID: m.ID, Content: &empty, Embeds: &card, AllowedMentions: quiet()}); code(err) != 50006 {
		t.Errorf("an edit to a card alone: %v", err)
	}
	if v := s.TakeViolations(); len(v) != 1 || !strings.Contains(v[0], "empty") {
		t.Error(v)
	}
	c.Allow(s.Bot(), EmbedLinks)
	c.Deny(s.Bot(), ReadMessageHistory)
	if _, err := send(&discordgo.MessageSend{Content: "x", Reference: &discordgo.MessageReference{MessageID: m.ID, ChannelID: c.ID}}); code(err) != 160002 {
		t.Errorf("a reply without the history: %v", err)
	}
	c.Allow(s.Bot(), ReadMessageHistory)

	s.Inject(Fault{Route: "GET /channels/{channel_id}", Cut: true, Times: 1})
	if _, err := d.Channel(c.ID); err == nil {
		t.Error("half an answer decodes")
	}
	s.Inject(Fault{Route: "GET /channels/{channel_id}", Drip: time.Microsecond, Times: 1})
	if ch, err := d.Channel(c.ID); err != nil || ch.Name != "pastry" {
		t.Errorf("in drops: %+v, %v", ch, err)
	}
	s.Inject(Fault{Route: "GET /channels/{channel_id}", Status: 418, Raw: "tea", Header: map[string]string{"X-Kettle": "on"}, Times: 1})
	if _, err := d.Channel(c.ID); err == nil || !strings.Contains(err.Error(), "tea") {
		t.Errorf("a body of its own: %v", err)
	}

	post, first := g.ChannelOf("ideas", typeForum).Post(ada, "pears", "with walnut")
	if post.ID != first.ID {
		t.Errorf("a post has the id %s, its first message %s", post.ID, first.ID)
	}
	q1, q2 := c.Say(ada, "one"), c.Say(ada, "two")
	c.Purge(q1, q2)
	for _, m := range c.Messages() {
		if m.ID == q1.ID || m.ID == q2.ID {
			t.Errorf("%q is still there", m.Content)
		}
	}
	c.Delete()
	if _, err := d.Channel(c.ID); code(err) != 10003 {
		t.Errorf("a channel that is gone: %v", err)
	}
}
