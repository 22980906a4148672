package look

import (
	"bytes"

	"github.com/bwmarrin/discordgo"
)

// Where says where a part is sent.
type Where uint8

// Places of a part.
const (
	Here   Where = iota // where it was asked
	Thread              // in the thread that the first part's Thread names
)

// File is a file that goes with a message.
type File struct {
	Name, Type string // "methods.txt", "text/plain; charset=utf-8"
	Data       []byte
}

// Part is one message, ready to be sent: parts are sent in their order.
type Part struct {
	Where Where
	// Thread is the name of the thread to open on this message, 1 to 100
	// characters; "": none. Later parts with Where Thread go into it.
	Thread     string
	Content    string
	Embeds     []*discordgo.MessageEmbed
	Components []discordgo.MessageComponent
	Files      []File
	Flags      discordgo.MessageFlags
	Mentions   *discordgo.MessageAllowedMentions // never nil, its Parse never nil
}

func (p Part) files() []*discordgo.File {
	var out []*discordgo.File
	for _, f := range p.Files {
		out = append(out, &discordgo.File{Name: f.Name, ContentType: f.Type, Reader: bytes.NewReader(f.Data)})
	}
	return out
}

// Send is the part as a new message.
func (p Part) Send() *discordgo.MessageSend {
	return &discordgo.MessageSend{Content: p.Content, Embeds: p.Embeds, Components: p.Components, Files: p.files(), Flags: p.Flags, AllowedMentions: p.Mentions}
}

// Response is the part as the answer to an interaction.
func (p Part) Response() *discordgo.InteractionResponseData {
	return &discordgo.InteractionResponseData{Content: p.Content, Embeds: p.Embeds, Components: p.Components, Files: p.files(), Flags: p.Flags, AllowedMentions: p.Mentions}
}

// Edit is the part in place of what an interaction has answered so far; what was
// there and is not in the part goes.
func (p Part) Edit() *discordgo.WebhookEdit {
	embeds, components := p.filled()
	return &discordgo.WebhookEdit{Content: &p.Content, Embeds: &embeds, Components: &components, Files: p.files(), AllowedMentions: p.Mentions, Attachments: &[]*discordgo.MessageAttachment{}}
}

// MessageEdit is the part in place of a message.
func (p Part) MessageEdit(channel, message string) *discordgo.MessageEdit {
	embeds, components := p.filled()
	return &discordgo.MessageEdit{Channel: channel, ID: message, Content: &p.Content, Embeds: &embeds, Components: &components, Files: p.files(), AllowedMentions: p.Mentions,
		Flags: p.Flags &^ discordgo.MessageFlagsEphemeral, Attachments: &[]*discordgo.MessageAttachment{}}
}

func (p Part) filled() ([]*discordgo.MessageEmbed, []discordgo.MessageComponent) {
	embeds, components := p.Embeds, p.Components
	if embeds == nil {
		embeds = []*discordgo.MessageEmbed{}
	}
	if components == nil {
		components = []discordgo.MessageComponent{}
	}
	return embeds, components
}
