package discord

import (
	"strings"
	"unicode/utf8"

	"tamis/bot"
)

// mostContent is what one message holds, with a margin.
const mostContent = 1900

// render lays a reply out.
func (a *Adapter) render(r *bot.Reply, _ visitor, _ string) []part { return a.renderNotice(r.Text) }

// renderNotice lays plain text out; what is too long becomes a file.
func (a *Adapter) renderNotice(text string) []part {
	safe := escape(text)
	if utf8.RuneCountInString(safe) <= mostContent {
		return []part{{Content: safe}}
	}
	head, _, _ := strings.Cut(safe, "\n")
	return []part{{Content: string([]rune(head)[:min(200, utf8.RuneCountInString(head))]), Files: []file{{Name: "answer.txt", Type: "text/plain; charset=utf-8", Data: []byte(text)}}}}
}

// escape makes text mean nothing but itself.
func escape(s string) string {
	return strings.NewReplacer("*", "\\*", "_", "\\_", "~", "\\~", "`", "\\`", "|", "\\|", "<", "\\<", "@", "@\u200b", "[", "\\[").Replace(s)
}
