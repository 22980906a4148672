package discordtest

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"
)

// Message is a message as it stands; a copy, which later changes don't reach.
type Message struct {
	ID, ChannelID, GuildID string
	AuthorID               string
	Content                string
	Embeds                 []map[string]any
	Components             []map[string]any // as the bot sent them
	Files                  []File
	Flags                  int64
	Ephemeral              bool // only the one who acted sees it
	Loading                bool // a deferred answer that has not come yet
	ReplyTo                string
	Nonce                  string
	Pings                  []string // ids of users and roles that it notified; "everyone"
	Interaction            string   // id of the interaction that it answers
	Edits                  int
	Deleted                bool
	At                     time.Time // when it came
	EditedAt               time.Time
	At2                    time.Time // when it first had content: later than At where it was deferred

	kind    int  // type, where it is not an ordinary one
	web     bool // said by a webhook
	author  *User
	ment    []*User
	roles   []string
	every   bool
	by      *Interaction
	thread  *Channel
	taken   bool
	onlyFor *User
}

// Buttons are the buttons of the message, from left to right and down.
func (m Message) Buttons() []Button {
	var out []Button
	for _, c := range m.Components {
		walkComponents([]any{c}, func(c map[string]any) {
			if integer(c["type"]) == 2 {
				out = append(out, Button{str(c["label"]), str(c["custom_id"]), str(c["url"]), c["disabled"] == true})
			}
		})
	}
	return out
}

// Button is a button of a message.
type Button struct {
	Label, CustomID, URL string
	Disabled             bool
}

// ButtonID is the custom_id of the button with a label; "" where there is none.
func (m Message) ButtonID(label string) string {
	for _, b := range m.Buttons() {
		if b.Label == label {
			return b.CustomID
		}
	}
	return ""
}

// Text is all that the message says: content, embeds, text displays.
func (m Message) Text() string {
	out := []string{m.Content}
	for _, e := range m.Embeds {
		out = append(out, str(e["title"]), str(e["description"]))
		for _, f := range list(e["fields"]) {
			out = append(out, str(obj(f)["name"]), str(obj(f)["value"]))
		}
		out = append(out, str(obj(e["footer"])["text"]))
	}
	for _, c := range m.Components {
		walkComponents([]any{c}, func(c map[string]any) {
			if integer(c["type"]) == 10 {
				out = append(out, str(c["content"]))
			}
		})
	}
	return strings.Join(slices.DeleteFunc(out, func(s string) bool { return s == "" }), "\n")
}

var (
	userMention = regexp.MustCompile(`<@!?(\d+)>`)
	roleMention = regexp.MustCompile(`<@&(\d+)>`)
)

// ping works out whom a message notifies (resources/message, Allowed Mentions).
// web are answers to interactions, where users alone are parsed unless told.
func (s *Server) ping(m *Message, allowed map[string]any, present, web bool) {
	m.Pings, m.ment, m.roles, m.every = nil, nil, nil, false
	may := func(kind, id string) bool {
		if !present {
			return kind == "users" || !web
		}
		return slices.Contains(list(allowed["parse"]), any(kind)) || id != "" && slices.Contains(list(allowed[kind]), any(id))
	}
	for _, x := range userMention.FindAllStringSubmatch(m.Content, -1) {
		u := s.users[x[1]]
		if u == nil || slices.Contains(m.ment, u) {
			continue
		}
		m.ment = append(m.ment, u)
		if may("users", u.ID) {
			m.Pings = append(m.Pings, u.ID)
		}
	}
	c := s.channels[m.ChannelID]
	for _, x := range roleMention.FindAllStringSubmatch(m.Content, -1) {
		if !slices.Contains(m.roles, x[1]) {
			m.roles = append(m.roles, x[1])
			if may("roles", x[1]) && c != nil && s.perms(m.author, c)&MentionEveryone != 0 {
				m.Pings = append(m.Pings, x[1])
			}
		}
	}
	if strings.Contains(m.Content, "@everyone") || strings.Contains(m.Content, "@here") {
		if may("everyone", "") && c != nil && s.perms(m.author, c)&MentionEveryone != 0 {
			m.every = true
			m.Pings = append(m.Pings, "everyone")
		}
	}
	if m.ReplyTo != "" && c != nil {
		if to := c.find(m.ReplyTo); to != nil && (!present || allowed["replied_user"] == true) && !slices.Contains(m.ment, to.author) {
			m.ment = append(m.ment, to.author)
			m.Pings = append(m.Pings, to.author.ID)
		}
	}
}

func (c *Channel) find(id string) *Message {
	i := c.index(id)
	if i < len(c.messages) && c.messages[i].ID == id {
		return c.messages[i]
	}
	return nil
}

// index is where a message of this id stands or would stand.
func (c *Channel) index(id string) int {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil {
		return len(c.messages)
	}
	return sort.Search(len(c.messages), func(i int) bool { return snowflake(c.messages[i].ID) >= n })
}

func (s *Server) keep(c *Channel, m *Message) {
	c.messages = append(c.messages, m)
	c.sent++
	if over := len(c.messages) - s.o.KeepMessages; over > s.o.KeepMessages/4 {
		for _, old := range c.messages[:over] {
			for _, f := range old.Files {
				delete(s.files, f.ID)
			}
		}
		c.messages = append([]*Message(nil), c.messages[over:]...)
	}
}

// attach gives files their ids and links.
func (s *Server) attach(m *Message, files []File) {
	for _, f := range files {
		f.ID = s.newID()
		if f.ContentType == "" {
			f.ContentType = "application/octet-stream"
		}
		f.URL = fmt.Sprintf("http://%s/attachments/%s/%s/%s?ex=%x&is=%x&hm=00", s.addr, m.ChannelID, f.ID, f.Name, s.now().Add(24*time.Hour).Unix(), s.now().Unix())
		s.files[f.ID] = f
		m.Files = append(m.Files, f)
	}
}

// messageObj is the message as the specification's MessageResponse.
func (s *Server) messageObj(m *Message) map[string]any {
	o := s.basicObj(m)
	if m.ReplyTo != "" {
		o["referenced_message"] = nil
		if to := s.channels[m.ChannelID].find(m.ReplyTo); to != nil {
			o["referenced_message"] = s.basicObj(to)
		}
	}
	return o
}

func (s *Server) basicObj(m *Message) map[string]any {
	ment, files, embeds := []any{}, []any{}, []any{}
	for _, u := range m.ment {
		ment = append(ment, s.userObj(u))
	}
	for _, f := range m.Files {
		files = append(files, map[string]any{"id": f.ID, "filename": f.Name, "size": len(f.Data), "url": f.URL, "proxy_url": f.URL, "content_type": f.ContentType})
	}
	for _, e := range m.Embeds {
		embeds = append(embeds, embedReply(e))
	}
	o := map[string]any{"type": 0, "content": m.Content, "mentions": ment, "mention_roles": texts(m.roles), "attachments": files, "embeds": embeds,
		"timestamp": stamp(m.At), "edited_timestamp": nil, "flags": m.Flags, "components": s.componentsReply(m), "id": m.ID, "channel_id": m.ChannelID,
		"author": s.userObj(m.author), "pinned": false, "mention_everyone": m.every, "tts": false}
	if m.Edits > 0 {
		o["edited_timestamp"] = stamp(m.EditedAt)
	}
	if m.ReplyTo != "" {
		o["type"] = 19
		ref := map[string]any{"type": 0, "channel_id": m.ChannelID, "message_id": m.ReplyTo}
		if m.GuildID != "" {
			ref["guild_id"] = m.GuildID
		}
		o["message_reference"] = ref
	}
	if m.kind != 0 {
		o["type"] = m.kind
	}
	if m.web {
		o["webhook_id"] = m.AuthorID
	}
	if m.Nonce != "" {
		o["nonce"] = m.Nonce
	}
	if m.by != nil {
		o["webhook_id"], o["application_id"] = s.app.ID, s.app.ID
		o["interaction_metadata"] = s.metadata(m.by)
		if m.by.Kind == 2 {
			o["type"] = 20
		}
	}
	if m.thread != nil {
		o["thread"] = s.channelObj(m.thread)
	}
	return o
}

// embedReply adds what the platform adds to an embed.
func embedReply(e map[string]any) map[string]any {
	o := map[string]any{"type": "rich"}
	for k, v := range e {
		if v != nil && k != "type" {
			o[k] = v
		}
	}
	if fields := list(o["fields"]); fields != nil {
		out := []any{}
		for _, f := range fields {
			out = append(out, map[string]any{"name": obj(f)["name"], "value": obj(f)["value"], "inline": obj(f)["inline"] == true})
		}
		o["fields"] = out
	}
	return o
}

// componentsReply gives components the ids and defaults that the platform gives them.
func (s *Server) componentsReply(m *Message) []any {
	next := 0
	var one func(v any) map[string]any
	many := func(v any) []any {
		out := []any{}
		for _, c := range list(v) {
			out = append(out, one(c))
		}
		return out
	}
	media := func(v any) map[string]any {
		url := str(obj(v)["url"])
		if name, ok := strings.CutPrefix(url, "attachment://"); ok {
			for _, f := range m.Files {
				if f.Name == name {
					url = f.URL
				}
			}
		}
		return map[string]any{"id": m.ID, "url": url, "proxy_url": url}
	}
	one = func(v any) map[string]any {
		in, o := obj(v), map[string]any{}
		for k, v := range in {
			if v != nil {
				o[k] = v
			}
		}
		next++
		if integer(o["id"]) == 0 {
			o["id"] = next
		}
		switch integer(in["type"]) {
		case 1, 17:
			o["components"] = many(in["components"])
		case 9:
			o["components"], o["accessory"] = many(in["components"]), one(in["accessory"])
		case 11:
			o["media"] = media(in["media"])
		case 12:
			items := []any{}
			for _, it := range list(in["items"]) {
				items = append(items, map[string]any{"media": media(obj(it)["media"]), "description": obj(it)["description"], "spoiler": obj(it)["spoiler"] == true})
			}
			o["items"] = items
		case 13:
			o["file"] = media(in["file"])
		}
		for k, v := range map[int64]map[string]any{3: {"min_values": 1, "max_values": 1}, 5: {"min_values": 1, "max_values": 1}, 6: {"min_values": 1, "max_values": 1},
			7: {"min_values": 1, "max_values": 1}, 8: {"min_values": 1, "max_values": 1}, 11: {"description": nil, "spoiler": false},
			13: {"name": "file", "size": 0, "spoiler": false}, 14: {"spacing": 1, "divider": true}, 17: {"accent_color": nil, "spoiler": false}}[integer(in["type"])] {
			if _, ok := o[k]; !ok {
				o[k] = v
			}
		}
		return o
	}
	out := []any{}
	for _, c := range m.Components {
		out = append(out, one(c))
	}
	return out
}

// gatewayMessage is the message as MESSAGE_CREATE tells it.
func (s *Server) gatewayMessage(m *Message) map[string]any {
	o := s.messageObj(m)
	if !s.o.Unchecked && m.author != s.app { // the bot's own are checked as answers to it
		if err := s.spec.checkAgainst("#/components/schemas/MessageResponse", encode(o)); err != nil {
			s.ownFault("MESSAGE_CREATE: %v", err)
		}
	}
	if m.GuildID != "" {
		o["guild_id"] = m.GuildID
		if mem := s.guilds[m.GuildID].members[m.AuthorID]; mem != nil && m.by == nil && !m.web {
			o["member"] = s.memberObj(s.guilds[m.GuildID], mem, false)
		}
	}
	return o
}

func (s *Server) tellMessage(name string, m *Message) {
	intent := IntentGuildMessages
	if m.GuildID == "" {
		intent = IntentDirectMessages
	}
	s.dispatch(event{name: name, guild: m.GuildID, channel: s.channels[m.ChannelID], intent: intent, data: s.gatewayMessage(m), content: true})
}

// set takes what a body says of a message into it.
func (s *Server) set(m *Message, body map[string]any, files []File, edit bool) {
	if v, ok := body["content"]; ok || !edit {
		m.Content = str(v)
	}
	if v, ok := body["embeds"]; ok || !edit {
		m.Embeds = objects(list(v))
	}
	if v, ok := body["components"]; ok || !edit {
		m.Components = objects(list(v))
	}
	if v, ok := body["flags"]; ok {
		m.Flags = m.Flags&(flagEphemeral|flagComponentsV2) | integer(v)
	}
	if v, ok := body["attachments"]; ok && edit { // those not listed go
		m.Files = slices.DeleteFunc(slices.Clone(m.Files), func(f File) bool {
			return !slices.ContainsFunc(list(v), func(a any) bool { return scalar(obj(a)["id"]) == f.ID })
		})
	}
	s.attach(m, files)
	if m.At2.IsZero() && !m.Loading {
		m.At2 = time.Now()
	}
}

func objects(in []any) []map[string]any {
	var out []map[string]any
	for _, v := range in {
		if m := obj(v); m != nil {
			out = append(out, m)
		}
	}
	return out
}

func empty(m *Message) bool {
	return m.Content == "" && len(m.Embeds) == 0 && len(m.Components) == 0 && len(m.Files) == 0
}

func (s *Server) emptyMessage(req *Request) answer {
	s.violate("%s: an empty message: %.300s", req.Route, req.Raw)
	return fail(400, 50006, "Cannot send an empty message")
}

// wrong holds a body against the rules; nil where it keeps them.
func (s *Server) wrong(kind messageKind, req *Request, body map[string]any) *answer {
	err := checkMessage(kind, body, req.Files)
	if _, told := body["allowed_mentions"]; !told && !s.o.MentionsOpen && (str(body["content"]) != "" || kind == kindCreate) {
		err = errors.Join(err, errors.New("allowed_mentions is absent: text in the message could ping anyone"))
		if checkMessage(kind, body, req.Files) == nil { // the platform takes it; our house does not
			s.violate("%s: %v: %.300s", req.Route, err, req.Raw)
			return nil
		}
	}
	if err != nil {
		s.violate("%s: %s: %.300s", req.Route, strings.ReplaceAll(err.Error(), "\n", "; "), req.Raw)
		a := invalidForm(err)
		return &a
	}
	return nil
}

// may tells whether the bot may do something in a channel, and the refusal.
func (s *Server) may(c *Channel, need uint64) *answer {
	p := s.perms(s.app, c)
	var a answer
	switch {
	case c.GuildID != "" && p&ViewChannel == 0:
		a = fail(403, 50001, "Missing Access")
	case p&need != need:
		a = fail(403, 50013, "Missing Permissions")
	default:
		return nil
	}
	return &a
}

// withoutCards takes the embeds off what the bot may not embed in a channel: the
// platform says nothing of it where the message has words as well, also when it is
// edited (discord/discord-api-docs, issue 2601). Answers to interactions keep theirs.
func (s *Server) withoutCards(c *Channel, m *Message) {
	if s.perms(s.app, c)&EmbedLinks == 0 {
		m.Embeds = nil
	}
}

func sendPermission(c *Channel) uint64 {
	if c.isThread() {
		return SendMessagesInThreads
	}
	return SendMessages
}

func (s *Server) createMessage(req *Request) answer {
	c := s.channels[req.params["channel_id"]]
	if c == nil {
		return fail(404, 10003, "Unknown Channel")
	}
	if a := s.wrong(kindCreate, req, req.Body); a != nil {
		return *a
	}
	need := sendPermission(c)
	if len(req.Files) > 0 {
		need |= AttachFiles
	}
	if len(list(req.Body["embeds"])) > 0 && str(req.Body["content"]) == "" && len(req.Files) == 0 {
		need |= EmbedLinks
	}
	if a := s.may(c, need); a != nil {
		return *a
	}
	ref := obj(req.Body["message_reference"])
	if ref != nil && s.perms(s.app, c)&ReadMessageHistory == 0 {
		return fail(400, 160002, "Cannot reply without permission to read message history")
	}
	if c.closedDM {
		return fail(403, 50007, "Cannot send messages to this user")
	}
	if c.archived && c.locked {
		return fail(400, 160005, "This thread is locked")
	}
	nonce := scalar(req.Body["nonce"])
	key := c.ID + " " + nonce
	if nonce != "" && req.Body["enforce_nonce"] == true {
		if m := s.nonces[key]; m != nil && s.now().Sub(m.At) < 5*time.Minute {
			s.counts.Deduplicated++
			return answer{status: 200, body: s.messageObj(m)}
		}
	}
	m := &Message{ID: s.newID(), ChannelID: c.ID, GuildID: c.GuildID, author: s.app, AuthorID: s.app.ID, Nonce: nonce, At: s.now()}
	if ref != nil {
		if integer(ref["type"]) != 0 {
			return fail(400, 50035, "the stand-in forwards no messages")
		}
		m.ReplyTo = scalar(ref["message_id"])
		if c.find(m.ReplyTo) == nil {
			if ref["fail_if_not_exists"] != false {
				return invalidForm(errors.New("message_reference: Unknown message"))
			}
			m.ReplyTo = ""
		}
	}
	s.set(m, req.Body, req.Files, false)
	s.withoutCards(c, m)
	if empty(m) {
		return s.emptyMessage(req)
	}
	allowed, told := req.Body["allowed_mentions"]
	s.ping(m, obj(allowed), told && allowed != nil, false)
	c.archived = false
	s.keep(c, m)
	if nonce != "" {
		s.nonces[key] = m
		if s.nonceOrder = append(s.nonceOrder, key); len(s.nonceOrder) > 5000 {
			for _, k := range s.nonceOrder[:1000] {
				delete(s.nonces, k)
			}
			s.nonceOrder = append([]string(nil), s.nonceOrder[1000:]...)
		}
	}
	s.made(m)
	s.tellMessage("MESSAGE_CREATE", m)
	return answer{status: 200, body: s.messageObj(m)}
}

// made counts a message of the bot and tells those who listen.
func (s *Server) made(m *Message) {
	s.counts.BotMessages++
	for _, f := range s.onBot {
		f(*m)
	}
	s.notify()
}

func (s *Server) messageOf(req *Request) (*Channel, *Message, *answer) {
	c := s.channels[req.params["channel_id"]]
	if c == nil {
		a := fail(404, 10003, "Unknown Channel")
		return nil, nil, &a
	}
	if a := s.may(c, 0); a != nil {
		return nil, nil, a
	}
	m := c.find(req.params["message_id"])
	if m == nil || m.Deleted {
		a := fail(404, 10008, "Unknown Message")
		return nil, nil, &a
	}
	return c, m, nil
}

func (s *Server) editMessage(req *Request) answer {
	_, m, bad := s.messageOf(req)
	if bad != nil {
		return *bad
	}
	if m.author != s.app {
		return fail(403, 50005, "Cannot edit a message authored by another user")
	}
	return s.edit(kindEdit, m, req)
}

// edit changes a message of the bot.
func (s *Server) edit(kind messageKind, m *Message, req *Request) answer {
	if a := s.wrong(kind, req, req.Body); a != nil {
		return *a
	}
	if m.Flags&flagComponentsV2 != 0 && (str(req.Body["content"]) != "" || len(list(req.Body["embeds"])) > 0) {
		s.violate("%s: a message of components takes no content", req.Route)
		return invalidForm(errors.New("IS_COMPONENTS_V2 can't be removed"))
	}
	draft := *m
	draft.Loading = false
	s.set(&draft, req.Body, req.Files, true)
	if kind == kindEdit {
		s.withoutCards(s.channels[m.ChannelID], &draft)
	}
	if empty(&draft) {
		return s.emptyMessage(req)
	}
	draft.Flags &^= flagLoading
	allowed, told := req.Body["allowed_mentions"]
	s.ping(&draft, obj(allowed), told && allowed != nil, kind != kindEdit)
	if !m.Loading {
		draft.Edits++
		draft.EditedAt = s.now()
	} else {
		draft.At2 = time.Now()
	}
	*m = draft
	if !m.Ephemeral {
		s.tellMessage("MESSAGE_UPDATE", m)
	}
	s.notify()
	return answer{status: 200, body: s.messageObj(m)}
}

func (s *Server) deleteMessage(req *Request) answer {
	c, m, bad := s.messageOf(req)
	if bad != nil {
		return *bad
	}
	if m.author != s.app && s.perms(s.app, c)&ManageMessages == 0 {
		return fail(403, 50013, "Missing Permissions")
	}
	s.remove(m)
	return answer{status: 204}
}

func (s *Server) remove(m *Message) {
	m.Deleted = true
	if c := s.channels[m.ChannelID]; !m.Ephemeral {
		if i := c.index(m.ID); i < len(c.messages) && c.messages[i] == m {
			c.messages = slices.Delete(slices.Clone(c.messages), i, i+1)
		}
		data := map[string]any{"id": m.ID, "channel_id": m.ChannelID}
		intent := IntentDirectMessages
		if m.GuildID != "" {
			data["guild_id"] = m.GuildID
			intent = IntentGuildMessages
		}
		s.dispatch(event{name: "MESSAGE_DELETE", guild: m.GuildID, channel: c, intent: intent, data: data})
	}
	s.notify()
}

// readable is the message as REST shows it: without MESSAGE_CONTENT as the
// gateway does.
func (s *Server) readable(m *Message) map[string]any {
	o := s.messageObj(m)
	if s.o.Intents&IntentMessageContent == 0 && !s.seesContent(o) {
		return withoutContent(o)
	}
	return o
}

func (s *Server) getMessage(req *Request) answer {
	c, m, bad := s.messageOf(req)
	if bad != nil {
		return *bad
	}
	if a := s.may(c, ReadMessageHistory); a != nil {
		return *a
	}
	return answer{status: 200, body: s.readable(m)}
}

// listMessages: newest first, 1 to 100, 50 unless asked (resources/message).
func (s *Server) listMessages(req *Request) answer {
	c := s.channels[req.params["channel_id"]]
	if c == nil {
		return fail(404, 10003, "Unknown Channel")
	}
	if a := s.may(c, 0); a != nil {
		return *a
	}
	n := 50
	if v := req.Query.Get("limit"); v != "" {
		var err error
		if n, err = strconv.Atoi(v); err != nil || n < 1 || n > 100 {
			s.violate("%s: limit %q", req.Route, v)
			return invalidForm(errors.New("limit: 1 to 100"))
		}
	}
	if s.perms(s.app, c)&ReadMessageHistory == 0 {
		return answer{status: 200, body: []any{}}
	}
	lo, hi := 0, len(c.messages)
	q := req.Query
	switch {
	case q.Get("around") != "":
		i := c.index(q.Get("around"))
		lo, hi = max(0, i-n/2), min(hi, i+(n+1)/2)
	case q.Get("after") != "":
		lo = c.index(q.Get("after"))
		if lo < hi && c.messages[lo].ID == q.Get("after") {
			lo++
		}
		hi = min(hi, lo+n)
	case q.Get("before") != "":
		hi = c.index(q.Get("before"))
		lo = max(0, hi-n)
	default:
		lo = max(0, hi-n)
	}
	out := []any{}
	for i := hi - 1; i >= lo; i-- {
		out = append(out, s.readable(c.messages[i]))
	}
	return answer{status: 200, body: out}
}
