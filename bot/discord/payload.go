package discord

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"time"
)

// Events are decoded here into what the adapter needs of them, not by the client
// library: a component that it does not know must not cost a question.

type user struct {
	ID     string `json:"id"`
	Bot    bool   `json:"bot"`
	System bool   `json:"system"`
}

type member struct {
	User        *user    `json:"user"`
	Roles       []string `json:"roles"`
	Permissions string   `json:"permissions"`
}

type attachment struct {
	ID          string `json:"id"`
	Name        string `json:"filename"`
	URL         string `json:"url"`
	ContentType string `json:"content_type"`
	Size        int64  `json:"size"`
}

type message struct {
	ID          string       `json:"id"`
	Channel     string       `json:"channel_id"`
	Guild       string       `json:"guild_id"`
	Author      *user        `json:"author"`
	Member      *member      `json:"member"`
	Content     *string      `json:"content"`
	Type        int          `json:"type"`
	Webhook     string       `json:"webhook_id"`
	Mentions    []user       `json:"mentions"`
	Attachments []attachment `json:"attachments"`
	Edited      *string      `json:"edited_timestamp"`
	Reference   *struct {
		Message string `json:"message_id"`
	} `json:"message_reference"`
	Referenced *struct {
		Author *user `json:"author"`
	} `json:"referenced_message"`
}

type option struct {
	Name    string          `json:"name"`
	Value   json.RawMessage `json:"value"`
	Focused bool            `json:"focused"`
	Options []option        `json:"options"`
}

func (o option) text() string {
	var s string
	if json.Unmarshal(o.Value, &s) == nil {
		return s
	}
	return strings.Trim(string(o.Value), `"`)
}

type component struct {
	CustomID   string      `json:"custom_id"`
	Value      string      `json:"value"`
	Components []component `json:"components"`
	Component  *component  `json:"component"`
}

type interaction struct {
	ID      string  `json:"id"`
	App     string  `json:"application_id"`
	Type    int     `json:"type"`
	Token   string  `json:"token"`
	Guild   string  `json:"guild_id"`
	Channel string  `json:"channel_id"`
	Member  *member `json:"member"`
	User    *user   `json:"user"`
	Message *struct {
		ID string `json:"id"`
	} `json:"message"`
	Data struct {
		Name       string      `json:"name"`
		Kind       int         `json:"type"`
		Options    []option    `json:"options"`
		CustomID   string      `json:"custom_id"`
		Values     []string    `json:"values"`
		Components []component `json:"components"`
		Target     string      `json:"target_id"`
		Resolved   struct {
			Messages    map[string]message    `json:"messages"`
			Attachments map[string]attachment `json:"attachments"`
		} `json:"resolved"`
	} `json:"data"`

	came time.Time
}

// sound reports whether the ids and the token are what requests can be made of.
func (it *interaction) sound() bool {
	ids := number(it.ID) != 0 && number(it.App) != 0 && number(it.who()) != 0 && (it.Guild == "" || number(it.Guild) != 0) && (it.Channel == "" || number(it.Channel) != 0)
	return ids && it.Token != "" && !strings.ContainsFunc(it.Token, func(r rune) bool { return r <= ' ' || r >= 0x7f || strings.ContainsRune("/?#%\\.", r) })
}

// who acted, in a server or in a direct talk; "" where the event names nobody.
func (it *interaction) who() string {
	if it.Member != nil && it.Member.User != nil {
		return it.Member.User.ID
	}
	if it.User != nil {
		return it.User.ID
	}
	return ""
}

func (it *interaction) roles() []string {
	if it.Member == nil {
		return nil
	}
	return it.Member.Roles
}

// fields are the values of a form by custom id.
func (it *interaction) fields() map[string]string {
	out := map[string]string{}
	var walk func(cs []component)
	walk = func(cs []component) {
		for _, c := range cs {
			if c.CustomID != "" {
				out[c.CustomID] = c.Value
			}
			walk(c.Components)
			if c.Component != nil {
				walk([]component{*c.Component})
			}
		}
	}
	walk(it.Data.Components)
	return out
}

// decode fills what it can: a field of another type than we know leaves the rest.
func decode(data []byte, v any) error {
	err := json.Unmarshal(data, v)
	var odd *json.UnmarshalTypeError
	if errors.As(err, &odd) {
		return nil
	}
	return err
}

// number reads an id; 0: it is none.
func number(id string) uint64 {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// epoch is the first moment of the platform's ids, in Unix ms.
const epoch = 1420070400000

// made is when an id was made.
func made(id uint64) time.Time { return time.UnixMilli(int64(id>>22) + epoch) }

// idAt is the least id of a moment.
func idAt(t time.Time) uint64 { return uint64(max(0, t.UnixMilli()-epoch)) << 22 }
