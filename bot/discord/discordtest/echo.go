package discordtest

import (
	"context"
	"net/http"
	"net/url"

	"github.com/bwmarrin/discordgo"
)

// Toward is a transport that sends requests for the platform to the server at
// api instead; the path stays.
func Toward(api string) http.RoundTripper {
	u, err := url.Parse(api)
	if err != nil {
		panic(err)
	}
	return toward{u.Host, &http.Transport{MaxIdleConnsPerHost: 100}}
}

type toward struct {
	host string
	next http.RoundTripper
}

func (x toward) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.URL.Scheme, r.URL.Host, r.Host = "http", x.host, x.host
	return x.next.RoundTrip(r)
}

// Echo is the barest bot on the same client library: it replies to each
// message, and remembers nothing. What the library and this server cost is what
// a bot is to be measured beside.
func Echo(ctx context.Context, h House) error {
	d, err := discordgo.New("Bot " + h.Token)
	if err != nil {
		return err
	}
	d.Client = &http.Client{Transport: Toward(h.API)}
	d.StateEnabled = false
	d.Identify.Intents = IntentGuilds | IntentGuildMessages | IntentDirectMessages
	d.AddHandler(func(d *discordgo.Session, m *discordgo.MessageCreate) {
		if m.Author == nil || m.Author.Bot {
			return
		}
		_, _ = d.ChannelMessageSendComplex(m.ChannelID, &discordgo.MessageSend{Content: m.Content, Reference: m.Reference(),
			AllowedMentions: &discordgo.MessageAllowedMentions{Parse: []discordgo.AllowedMentionType{}}})
	})
	if err := d.Open(); err != nil {
		return err
	}
	<-ctx.Done()
	return d.Close()
}
