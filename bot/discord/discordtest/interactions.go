package discordtest

import (
	"encoding/json"
	"strconv"
	"time"
)

// Interaction kinds and callback types (interactions/receiving-and-responding).
const (
	kindCommand, kindComponent, kindAutocomplete, kindModal = 2, 3, 4, 5

	callMessage, callDefer, callDeferUpdate, callUpdate, callChoices, callModal = 4, 5, 6, 7, 8, 9
)

const (
	answerWithin = 3 * time.Second
	tokenLife    = 15 * time.Minute
)

// Interaction is something that somebody did and that the bot has to answer.
type Interaction struct {
	ID, Token string
	Kind      int // 2 command, 3 component, 4 autocomplete, 5 modal
	Channel   *Channel
	User      *User

	srv      *Server
	at       time.Time
	began    time.Time // by the server's clock
	answered int       // callback type of the first answer; 0 before
	took     time.Duration
	modal    map[string]any
	choices  []map[string]any
	original *Message
	source   *Message     // the message that a component sits on
	parent   *Interaction // what the modal came from
	follow   []*Message
	first    bool // a follow-up after type 5 has been made of the placeholder
	late     bool
}

func (s *Server) metadata(it *Interaction) map[string]any {
	owners := map[string]any{}
	if it.Channel.GuildID != "" {
		owners["0"] = it.Channel.GuildID
	} else {
		owners["0"] = "0"
	}
	o := map[string]any{"id": it.ID, "type": it.Kind, "user": s.userObj(it.User), "authorizing_integration_owners": owners}
	switch it.Kind {
	case kindComponent:
		o["interacted_message_id"] = it.source.ID
	case kindModal:
		if it.parent != nil {
			o["triggering_interaction_metadata"] = s.metadata(it.parent)
		}
	}
	return o
}

// begin tells the bot of an interaction. Called with the lock held.
func (s *Server) begin(it *Interaction, data map[string]any) {
	it.ID, it.srv, it.at, it.began = s.newID(), s, time.Now(), s.now()
	it.Token = "aW50ZXJhY3Rpb24" + it.ID + "x" + strconv.FormatInt(it.at.UnixNano(), 36)
	s.inter[it.Token] = it
	if s.interOrder = append(s.interOrder, it.Token); len(s.interOrder) > 2000 {
		for _, t := range s.interOrder[:500] {
			delete(s.inter, t)
		}
		s.interOrder = append([]string(nil), s.interOrder[500:]...)
	}
	c := it.Channel
	o := map[string]any{"id": it.ID, "application_id": s.app.ID, "type": it.Kind, "data": data, "channel_id": c.ID, "channel": s.channelObj(c), "token": it.Token,
		"version": 1, "locale": "en-GB", "entitlements": []any{}, "attachment_size_limit": maxFile, "app_permissions": perm(s.perms(s.app, c))}
	if c.GuildID != "" {
		g := s.guilds[c.GuildID]
		m := s.memberObj(g, g.members[it.User.ID], true)
		m["permissions"] = perm(s.perms(it.User, c))
		o["member"], o["guild_id"], o["guild_locale"], o["context"] = m, c.GuildID, "en-GB", 0
		o["guild"] = map[string]any{"id": g.ID, "locale": "en-GB", "features": []any{}}
		o["authorizing_integration_owners"] = map[string]any{"0": c.GuildID}
	} else {
		o["user"], o["context"] = s.userObj(it.User), 1
		o["authorizing_integration_owners"] = map[string]any{"0": "0"}
	}
	if it.source != nil {
		o["message"] = s.messageObj(it.source)
	}
	s.dispatch(event{name: "INTERACTION_CREATE", guild: c.GuildID, data: o})
	s.notify()
}

func perm(p uint64) string { return strconv.FormatUint(p, 10) }

// callback is the first answer to an interaction: once, within 3 s.
func (s *Server) callback(req *Request) answer {
	it := s.inter[req.params["interaction_token"]]
	if it == nil || it.ID != req.params["interaction_id"] {
		return fail(404, 10062, "Unknown interaction")
	}
	if it.answered != 0 {
		s.violate("%s: a second first answer to one interaction", req.Route)
		return fail(400, 40060, "Interaction has already been acknowledged.")
	}
	if s.since(it) > answerWithin {
		it.late = true
		s.counts.Late++
		s.notify()
		return fail(404, 10062, "Unknown interaction")
	}
	kind := int(integer(req.Body["type"]))
	data := obj(req.Body["data"])
	refuse := func(why string) answer {
		s.violate("%s: %s: %.300s", req.Route, why, req.Raw)
		return invalidForm(errorText(why))
	}
	switch {
	case it.Kind == kindAutocomplete && kind != callChoices, it.Kind != kindAutocomplete && kind == callChoices:
		return refuse("choices answer an autocomplete, and nothing else does")
	case kind == callModal && it.Kind == kindModal:
		return refuse("a modal can't answer a modal")
	case (kind == callUpdate || kind == callDeferUpdate) && it.source == nil:
		return refuse("only what began at a component can update its message")
	}
	switch kind {
	case callMessage, callUpdate:
		if data == nil {
			return refuse("an answer without data")
		}
		mk := kindReply
		if kind == callUpdate {
			mk = kindUpdate
		}
		if kind == callMessage && len(list(data["attachments"])) == 0 && len(req.Files) == 0 && str(data["content"]) == "" && len(list(data["embeds"])) == 0 && len(list(data["components"])) == 0 {
			return s.emptyMessage(req)
		}
		sub := *req
		sub.Body = data
		if kind == callUpdate {
			a := s.edit(mk, it.source, &sub)
			if a.status != 200 {
				return a
			}
			it.original = it.source
			break
		}
		if a := s.wrong(mk, &sub, data); a != nil {
			return *a
		}
		it.original = s.interactionMessage(it, data, req.Files, false)
	case callDefer:
		if f := integer(data["flags"]); f&^flagEphemeral != 0 {
			return refuse("a deferred answer takes the flag EPHEMERAL only")
		}
		it.original = s.interactionMessage(it, data, nil, true)
	case callDeferUpdate:
		it.original = it.source
	case callChoices:
		it.choices = objects(list(data["choices"]))
	case callModal:
		if err := checkModal(data); err != nil {
			return refuse(err.Error())
		}
		it.modal = data
	default:
		return refuse("a callback of type " + strconv.Itoa(kind))
	}
	it.answered, it.took = kind, time.Since(it.at)
	s.notify()
	if req.Query.Get("with_response") != "true" {
		return answer{status: 204}
	}
	o := map[string]any{"id": it.ID, "type": it.Kind, "channel_id": it.Channel.ID}
	if it.Channel.GuildID != "" {
		o["guild_id"] = it.Channel.GuildID
	}
	out := map[string]any{"interaction": o}
	if it.original != nil {
		o["response_message_id"], o["response_message_loading"], o["response_message_ephemeral"] = it.original.ID, it.original.Loading, it.original.Ephemeral
		if kind == callMessage || kind == callUpdate {
			out["resource"] = map[string]any{"type": kind, "message": s.messageObj(it.original)}
		}
	}
	return answer{status: 200, body: out}
}

type errorText string

func (e errorText) Error() string { return string(e) }

func (s *Server) since(it *Interaction) time.Duration { return s.now().Sub(it.began) }

// interactionMessage makes a message that answers an interaction.
func (s *Server) interactionMessage(it *Interaction, data map[string]any, files []File, loading bool) *Message {
	c := it.Channel
	m := &Message{ID: s.newID(), ChannelID: c.ID, GuildID: c.GuildID, author: s.app, AuthorID: s.app.ID, At: s.now(), by: it, Interaction: it.ID, Loading: loading}
	s.set(m, data, files, false)
	m.Ephemeral = m.Flags&flagEphemeral != 0
	if loading {
		m.Flags |= flagLoading
	}
	allowed, told := data["allowed_mentions"]
	s.ping(m, obj(allowed), told && allowed != nil, true)
	if m.Ephemeral {
		m.onlyFor = it.User
		if len(s.hidden) > 5000 {
			clear(s.hidden)
		}
		s.hidden[m.ID] = m
	} else {
		s.keep(c, m)
		s.tellMessage("MESSAGE_CREATE", m)
	}
	s.made(m)
	return m
}

// web finds the interaction of a request with its token in the path.
func (s *Server) web(req *Request) (*Interaction, *answer) {
	var a answer
	it := s.inter[req.params["webhook_token"]]
	switch {
	case it == nil || req.params["webhook_id"] != s.app.ID:
		a = fail(404, 10015, "Unknown Webhook")
	case s.since(it) > tokenLife:
		a = fail(401, 50027, "Invalid Webhook Token")
	case it.answered == 0:
		a = fail(404, 10015, "Unknown Webhook")
	default:
		return it, nil
	}
	return nil, &a
}

func (s *Server) webMessage(req *Request) (*Interaction, *Message, *answer) {
	it, bad := s.web(req)
	if bad != nil {
		return nil, nil, bad
	}
	id, original := req.params["message_id"]
	if !original {
		if it.original != nil && !it.original.Deleted {
			return it, it.original, nil
		}
	} else {
		for _, m := range it.follow {
			if m.ID == id && !m.Deleted {
				return it, m, nil
			}
		}
		if it.original != nil && it.original.ID == id && !it.original.Deleted {
			return it, it.original, nil
		}
	}
	a := fail(404, 10008, "Unknown Message")
	return nil, nil, &a
}

func (s *Server) webGet(req *Request) answer {
	_, m, bad := s.webMessage(req)
	if bad != nil {
		return *bad
	}
	return answer{status: 200, body: s.messageObj(m)}
}

func (s *Server) webEdit(req *Request) answer {
	_, m, bad := s.webMessage(req)
	if bad != nil {
		return *bad
	}
	return s.edit(kindWebEdit, m, req)
}

func (s *Server) webDelete(req *Request) answer {
	_, m, bad := s.webMessage(req)
	if bad != nil {
		return *bad
	}
	s.remove(m)
	return answer{status: 204}
}

// followUp makes a later message; the first one after a deferral fills the
// placeholder, as the platform still does.
func (s *Server) followUp(req *Request) answer {
	it, bad := s.web(req)
	if bad != nil {
		return *bad
	}
	if it.original != nil && it.original.Loading && !it.first {
		it.first = true
		body := map[string]any{}
		for k, v := range req.Body {
			if k != "flags" {
				body[k] = v
			}
		}
		sub := *req
		sub.Body = body
		return s.edit(kindWebEdit, it.original, &sub)
	}
	if a := s.wrong(kindFollowup, req, req.Body); a != nil {
		return *a
	}
	probe := &Message{}
	probe.Content, probe.Embeds, probe.Components, probe.Files = str(req.Body["content"]), objects(list(req.Body["embeds"])), objects(list(req.Body["components"])), req.Files
	if empty(probe) {
		return s.emptyMessage(req)
	}
	m := s.interactionMessage(it, req.Body, req.Files, false)
	it.follow = append(it.follow, m)
	s.notify()
	return answer{status: 200, body: s.messageObj(m)}
}

// putCommands replaces the commands of a scope; what keeps its name keeps its id.
func (s *Server) putCommands(req *Request) answer {
	guild := req.params["guild_id"]
	if a := s.application(req); a != nil {
		return *a
	}
	if err := checkCommands(req.list, guild != ""); err != nil {
		s.violate("%s: %v: %.300s", req.Route, err, req.Raw)
		return invalidForm(err)
	}
	var all []map[string]any
	for _, c := range req.list {
		all = append(all, s.command(obj(c), guild))
	}
	s.commands[guild] = all
	s.rev++
	s.notify()
	return answer{status: 200, body: s.commandList(guild)}
}

func (s *Server) postCommand(req *Request) answer {
	guild := req.params["guild_id"]
	if a := s.application(req); a != nil {
		return *a
	}
	if err := checkCommands([]any{req.Body}, guild != ""); err != nil {
		s.violate("%s: %v: %.300s", req.Route, err, req.Raw)
		return invalidForm(err)
	}
	c := s.command(req.Body, guild)
	for i, old := range s.commands[guild] {
		if old["id"] == c["id"] {
			s.commands[guild][i] = c
			return answer{status: 200, body: c}
		}
	}
	s.commands[guild] = append(s.commands[guild], c)
	s.rev++
	s.notify()
	return answer{status: 201, body: c}
}

func (s *Server) getCommands(req *Request) answer {
	if a := s.application(req); a != nil {
		return *a
	}
	return answer{status: 200, body: s.commandList(req.params["guild_id"])}
}

func (s *Server) deleteCommand(req *Request) answer {
	if a := s.application(req); a != nil {
		return *a
	}
	guild := req.params["guild_id"]
	for i, c := range s.commands[guild] {
		if c["id"] == req.params["command_id"] {
			s.commands[guild] = append(s.commands[guild][:i:i], s.commands[guild][i+1:]...)
			return answer{status: 204}
		}
	}
	return fail(404, 10063, "Unknown application command")
}

func (s *Server) application(req *Request) *answer {
	a := fail(403, 50001, "Missing Access")
	if req.params["application_id"] != s.app.ID {
		return &a
	}
	if g := req.params["guild_id"]; g != "" && (s.guilds[g] == nil || s.guilds[g].gone) {
		return &a
	}
	return nil
}

func (s *Server) commandList(guild string) []any {
	out := []any{}
	for _, c := range s.commands[guild] {
		out = append(out, c)
	}
	return out
}

// command is a command as the platform gives it back.
func (s *Server) command(in map[string]any, guild string) map[string]any {
	var o map[string]any
	data, _ := json.Marshal(in)
	_ = json.Unmarshal(data, &o)
	clean(o)
	kind := int(integer(o["type"]))
	if kind == 0 {
		kind = 1
	}
	o["type"] = kind
	o["id"] = s.newID()
	for _, old := range s.commands[guild] {
		if old["name"] == o["name"] && old["type"] == kind {
			o["id"] = old["id"]
		}
	}
	o["application_id"], o["version"] = s.app.ID, s.newID()
	if o["description"] == nil {
		o["description"] = ""
	}
	if v, ok := o["default_member_permissions"]; ok {
		o["default_member_permissions"] = scalar(v)
	} else {
		o["default_member_permissions"] = nil
	}
	if guild != "" {
		o["guild_id"] = guild
	}
	return o
}

// clean takes nulls out, and numbers that JSON made floats back to whole ones.
func clean(v any) {
	switch v := v.(type) {
	case map[string]any:
		for k, c := range v {
			if c == nil || k == "autocomplete" && c == false { // options of some types have no such key
				delete(v, k)
				continue
			}
			clean(c)
		}
	case []any:
		for _, c := range v {
			clean(c)
		}
	}
}
