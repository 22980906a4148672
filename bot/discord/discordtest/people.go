package discordtest

import (
	"encoding/json"
	"slices"
	"strings"
	"time"
)

// Said is how a message is said.
type Said func(*said)

type said struct {
	reply string
	files []File
	raw   func(map[string]any)
	kind  int
	web   bool
}

// ReplyTo makes it a reply, which pings the author.
func ReplyTo(m Message) Said { return func(s *said) { s.reply = m.ID } }

// With attaches a file.
func With(name, contentType string, data []byte) Said {
	return func(s *said) { s.files = append(s.files, File{Name: name, ContentType: contentType, Data: data}) }
}

// Bent changes the event's payload before it is sent: for malformed ones.
func Bent(f func(payload map[string]any)) Said { return func(s *said) { s.raw = f } }

// OfType makes it a message of another type than the ordinary one, as the platform
// makes them itself: 6 a pin, 7 a welcome, 18 a thread, 21 its first message.
func OfType(kind int) Said { return func(s *said) { s.kind = kind } }

// ByWebhook lets a webhook say it under the user's id, as integrations do.
func ByWebhook() Said { return func(s *said) { s.web = true } }

// Say lets somebody write in the channel.
func (c *Channel) Say(u *User, content string, how ...Said) Message {
	s := c.srv
	s.t.Helper()
	var o said
	for _, h := range how {
		h(&o)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	m := &Message{ID: s.newID(), ChannelID: c.ID, GuildID: c.GuildID, author: u, AuthorID: u.ID, Content: content, ReplyTo: o.reply, At: s.now(), kind: o.kind, web: o.web}
	m.At2 = time.Now()
	s.attach(m, o.files)
	s.ping(m, nil, false, false)
	c.archived = false
	s.keep(c, m)
	s.notify()
	if o.raw != nil {
		p := s.gatewayMessage(m)
		o.raw(p)
		s.dispatch(event{name: "MESSAGE_CREATE", guild: c.GuildID, channel: c, raw: encode(p)})
		return *m
	}
	s.tellMessage("MESSAGE_CREATE", m)
	return *m
}

// Ask mentions the bot and says the rest.
func (c *Channel) Ask(u *User, question string, how ...Said) Message {
	c.srv.t.Helper()
	if c.Type == typeDM {
		return c.Say(u, question, how...)
	}
	return c.Say(u, c.srv.Mention()+" "+question, how...)
}

// Edit lets the author change a message.
func (c *Channel) Edit(m Message, content string) Message {
	s := c.srv
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	x := c.find(m.ID)
	if x == nil {
		s.t.Fatalf("Edit: no message %s in #%s", m.ID, c.Name)
	}
	x.Content = content
	x.Edits++
	x.EditedAt = s.now()
	s.ping(x, nil, false, false)
	s.tellMessage("MESSAGE_UPDATE", x)
	return *x
}

// Remove lets somebody delete a message.
func (c *Channel) Remove(m Message) {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	if x := c.find(m.ID); x != nil {
		s.remove(x)
	}
}

// Purge deletes several messages at once, as a moderator does.
func (c *Channel) Purge(ms ...Message) {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	ids := []any{}
	for _, m := range ms {
		if x := c.find(m.ID); x != nil {
			x.Deleted = true
			c.messages = slices.DeleteFunc(slices.Clone(c.messages), func(y *Message) bool { return y == x })
		}
		ids = append(ids, m.ID)
	}
	data := map[string]any{"ids": ids, "channel_id": c.ID}
	intent := IntentDirectMessages
	if c.GuildID != "" {
		data["guild_id"], intent = c.GuildID, IntentGuildMessages
	}
	s.dispatch(event{name: "MESSAGE_DELETE_BULK", guild: c.GuildID, channel: c, intent: intent, data: data})
	s.notify()
}

// Touch tells a message anew without a change of its words, as the platform does
// when a link's preview comes or it is pinned. Bent changes what is told.
func (c *Channel) Touch(m Message, how ...Said) {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	x := c.find(m.ID)
	if x == nil {
		s.t.Helper()
		s.t.Fatalf("Touch: no message %s in #%s", m.ID, c.Name)
	}
	var o said
	for _, h := range how {
		h(&o)
	}
	if o.raw == nil {
		s.tellMessage("MESSAGE_UPDATE", x)
		return
	}
	p := s.gatewayMessage(x)
	o.raw(p)
	s.dispatch(event{name: "MESSAGE_UPDATE", guild: c.GuildID, channel: c, raw: encode(p)})
}

// Press presses the button with the custom_id. The test fails where the button
// is not there, is a link or is off.
func (c *Channel) Press(u *User, m Message, customID string) *Interaction {
	c.srv.t.Helper()
	return c.component(u, m, customID, nil, false)
}

// Forge presses what the message does not have, or picks what a menu does not
// offer, as a tampered client may.
func (c *Channel) Forge(u *User, m Message, customID string, values ...string) *Interaction {
	c.srv.t.Helper()
	return c.component(u, m, customID, values, true)
}

// Choose picks options of a menu.
func (c *Channel) Choose(u *User, m Message, customID string, values ...string) *Interaction {
	c.srv.t.Helper()
	return c.component(u, m, customID, values, false)
}

func (c *Channel) component(u *User, m Message, customID string, values []string, forged bool) *Interaction {
	s := c.srv
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	src := c.find(m.ID)
	if src == nil {
		src = s.hidden[m.ID]
	}
	if from := s.channels[m.ChannelID]; src == nil && forged && from != nil {
		src = from.find(m.ID)
	}
	if src == nil {
		s.t.Fatalf("no message %s to press on", m.ID)
	}
	data := map[string]any{"custom_id": customID, "component_type": 2, "id": 1}
	found := forged
	for _, top := range src.Components {
		walkComponents([]any{top}, func(x map[string]any) {
			if str(x["custom_id"]) != customID || x["disabled"] == true {
				return
			}
			found = true
			data["component_type"] = int(integer(x["type"]))
			if integer(x["type"]) != 3 {
				return
			}
			for _, v := range values {
				if !forged && !slices.ContainsFunc(list(x["options"]), func(o any) bool { return obj(o)["value"] == v }) {
					s.t.Fatalf("the menu %q has no option %q", customID, v)
				}
			}
		})
	}
	if !found {
		s.t.Fatalf("message %q has no live component %q; its buttons: %v", src.Content, customID, src.Buttons())
	}
	if values != nil {
		data["component_type"], data["values"] = 3, texts(values)
	}
	it := &Interaction{Kind: kindComponent, Channel: c, User: u, source: src}
	s.begin(it, data)
	return it
}

// Opt is an option of a command: a text, a whole number, a number or a truth.
type Opt struct {
	Name    string
	Value   any
	Focused bool // being typed, for Autocomplete
}

// Slash uses a command, "timer start" with a subcommand. The bot must have
// registered it, with the options.
func (c *Channel) Slash(u *User, command string, opts ...Opt) *Interaction {
	c.srv.t.Helper()
	return c.command(u, kindCommand, command, opts)
}

// Autocomplete types in an option of a command, the one that is Focused.
func (c *Channel) Autocomplete(u *User, command string, opts ...Opt) *Interaction {
	c.srv.t.Helper()
	return c.command(u, kindAutocomplete, command, opts)
}

func (c *Channel) command(u *User, kind int, command string, opts []Opt) *Interaction {
	s := c.srv
	s.t.Helper()
	s.waitCommand(c.GuildID, 1, strings.Fields(command)[0])
	s.mu.Lock()
	defer s.mu.Unlock()
	words := strings.Fields(command)
	cmd := s.lookup(c.GuildID, 1, words[0])
	if p := cmd["default_member_permissions"]; p != nil && c.GuildID != "" {
		if need := snowflake(scalar(p)); s.perms(u, c)&need != need || need == 0 && s.perms(u, c) != allPermissions {
			s.t.Fatalf("%s does not see /%s", u.Name, command)
		}
	}
	level := list(cmd["options"])
	data := map[string]any{"id": cmd["id"], "name": cmd["name"], "type": 1}
	if g := cmd["guild_id"]; g != nil {
		data["guild_id"] = g
	}
	inner := data
	for _, w := range words[1:] {
		i := slices.IndexFunc(level, func(o any) bool { return str(obj(o)["name"]) == w && integer(obj(o)["type"]) <= 2 })
		if i < 0 {
			s.t.Fatalf("/%s has no subcommand %q", words[0], w)
		}
		sub := obj(level[i])
		next := map[string]any{"name": w, "type": int(integer(sub["type"]))}
		inner["options"] = []any{next}
		inner, level = next, list(sub["options"])
	}
	var out []any
	for _, o := range opts {
		i := slices.IndexFunc(level, func(x any) bool { return str(obj(x)["name"]) == o.Name })
		if i < 0 {
			s.t.Fatalf("/%s has no option %q", command, o.Name)
		}
		def := obj(level[i])
		v := map[string]any{"name": o.Name, "type": int(integer(def["type"])), "value": o.Value}
		if o.Focused {
			if def["autocomplete"] != true {
				s.t.Fatalf("option %q of /%s has no autocomplete", o.Name, command)
			}
			v["focused"] = true
		}
		out = append(out, v)
	}
	if kind == kindCommand {
		for _, d := range level {
			if obj(d)["required"] == true && !slices.ContainsFunc(opts, func(o Opt) bool { return o.Name == str(obj(d)["name"]) }) {
				s.t.Fatalf("/%s needs the option %q", command, str(obj(d)["name"]))
			}
		}
	}
	if out != nil {
		inner["options"] = out
	}
	it := &Interaction{Kind: kind, Channel: c, User: u}
	s.begin(it, data)
	return it
}

func (s *Server) lookup(guild string, kind int, name string) map[string]any {
	for _, scope := range []string{guild, ""} {
		for _, c := range s.commands[scope] {
			if c["type"] == kind && c["name"] == name {
				return c
			}
		}
	}
	return nil
}

func (s *Server) waitCommand(guild string, kind int, name string) {
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	if !s.await(ctx, func() bool { return s.lookup(guild, kind, name) != nil }) {
		s.t.Fatalf("the bot has registered no command %q of type %d", name, kind)
	}
}

// Commands are the names of the registered commands of a guild, or the global
// ones for ""; type 1 is slash, 2 on a user, 3 on a message.
func (s *Server) Commands(guild string, kind int) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for _, c := range s.commands[guild] {
		if c["type"] == kind {
			out = append(out, str(c["name"]))
		}
	}
	return out
}

// WaitCommands waits until the bot has registered something.
func (s *Server) WaitCommands() {
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	if !s.await(ctx, func() bool { return s.rev > 0 }) {
		s.t.Fatalf("the bot registered no commands within %v", s.o.Wait)
	}
}

// OnMessage uses a context entry on a message.
func (c *Channel) OnMessage(u *User, entry string, m Message) *Interaction {
	s := c.srv
	s.t.Helper()
	s.waitCommand(c.GuildID, 3, entry)
	s.mu.Lock()
	defer s.mu.Unlock()
	cmd := s.lookup(c.GuildID, 3, entry)
	x := c.find(m.ID)
	if x == nil {
		s.t.Fatalf("no message %s in #%s", m.ID, c.Name)
	}
	data := map[string]any{"id": cmd["id"], "name": entry, "type": 3, "target_id": m.ID, "resolved": map[string]any{"messages": map[string]any{m.ID: s.messageObj(x)}}}
	it := &Interaction{Kind: kindCommand, Channel: c, User: u}
	s.begin(it, data)
	return it
}

// Modal is a form that the bot has shown.
type Modal struct {
	CustomID, Title string
	Fields          []Field
	it              *Interaction
	raw             map[string]any
}

// Field is a text input of a form.
type Field struct {
	CustomID, Label, Value, Placeholder string
	Required                            bool
}

// Modal waits for the form that answers the interaction.
func (it *Interaction) Modal() Modal {
	it.srv.t.Helper()
	r := it.Answer()
	if r.Kind != callModal {
		it.srv.t.Fatalf("the answer is of type %d, not a form", r.Kind)
	}
	m := Modal{CustomID: str(it.modal["custom_id"]), Title: str(it.modal["title"]), it: it, raw: it.modal}
	for _, c := range list(it.modal["components"]) {
		label := str(obj(c)["label"])
		walkComponents([]any{c}, func(x map[string]any) {
			if integer(x["type"]) == 4 {
				f := Field{str(x["custom_id"]), label, str(x["value"]), str(x["placeholder"]), x["required"] != false}
				if l := str(x["label"]); l != "" {
					f.Label = l
				}
				m.Fields = append(m.Fields, f)
			}
		})
	}
	return m
}

// Submit sends the form with values by custom_id; fields left out keep their value.
func (m Modal) Submit(values map[string]string) *Interaction {
	s := m.it.srv
	s.t.Helper()
	for id := range values {
		if !slices.ContainsFunc(m.Fields, func(f Field) bool { return f.CustomID == id }) {
			s.t.Fatalf("the form has no field %q", id)
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	var comps []any
	field := func(x map[string]any) map[string]any {
		v, ok := values[str(x["custom_id"])]
		if !ok {
			v = str(x["value"])
		}
		return map[string]any{"type": int(integer(x["type"])), "custom_id": x["custom_id"], "value": v, "id": 1}
	}
	for _, c := range list(m.raw["components"]) {
		switch integer(obj(c)["type"]) {
		case 1:
			comps = append(comps, map[string]any{"type": 1, "id": 1, "components": []any{field(obj(list(obj(c)["components"])[0]))}})
		case 18:
			comps = append(comps, map[string]any{"type": 18, "id": 1, "component": field(obj(obj(c)["component"]))})
		}
	}
	it := &Interaction{Kind: kindModal, Channel: m.it.Channel, User: m.it.User, parent: m.it, source: m.it.source}
	s.begin(it, map[string]any{"custom_id": m.CustomID, "components": comps})
	return it
}

// Deliver sends INTERACTION_CREATE of a raw payload "d"; ids are the caller's.
func (s *Server) Deliver(payload map[string]any) {
	data, err := json.Marshal(payload)
	if err != nil {
		s.t.Helper()
		s.t.Fatal(err)
	}
	s.Emit("INTERACTION_CREATE", string(data))
}
