package discordtest

import (
	"errors"
	"time"
)

// handlers are the parts of the REST side that are built, by the
// specification's own paths. They run with the server's lock held.
var handlers = map[string]func(*Server, *Request) answer{
	"GET /gateway":                 (*Server).getGateway,
	"GET /gateway/bot":             (*Server).getGatewayBot,
	"GET /users/@me":               (*Server).getMe,
	"GET /users/{user_id}":         (*Server).getUser,
	"GET /users/@me/guilds":        (*Server).getMyGuilds,
	"POST /users/@me/channels":     (*Server).openDM,
	"GET /applications/@me":        (*Server).getApplication,
	"GET /oauth2/applications/@me": (*Server).getApplication,

	"GET /guilds/{guild_id}":                   (*Server).getGuild,
	"GET /guilds/{guild_id}/channels":          (*Server).getGuildChannels,
	"GET /guilds/{guild_id}/roles":             (*Server).getRoles,
	"GET /guilds/{guild_id}/members/{user_id}": (*Server).getMember,
	"GET /guilds/{guild_id}/threads/active":    (*Server).getActiveThreads,

	"GET /channels/{channel_id}":                                                     (*Server).getChannel,
	"PATCH /channels/{channel_id}":                                                   (*Server).patchChannel,
	"POST /channels/{channel_id}/typing":                                             (*Server).setTyping,
	"GET /channels/{channel_id}/messages":                                            (*Server).listMessages,
	"POST /channels/{channel_id}/messages":                                           (*Server).createMessage,
	"GET /channels/{channel_id}/messages/{message_id}":                               (*Server).getMessage,
	"PATCH /channels/{channel_id}/messages/{message_id}":                             (*Server).editMessage,
	"DELETE /channels/{channel_id}/messages/{message_id}":                            (*Server).deleteMessage,
	"POST /channels/{channel_id}/messages/{message_id}/threads":                      (*Server).threadFromMessage,
	"POST /channels/{channel_id}/threads":                                            (*Server).threadAlone,
	"GET /channels/{channel_id}/threads/archived/public":                             (*Server).archivedThreads,
	"GET /users/@me/guilds/{guild_id}/member":                                        (*Server).getMyMember,
	"PUT /channels/{channel_id}/messages/{message_id}/reactions/{emoji_name}/@me":    (*Server).react,
	"DELETE /channels/{channel_id}/messages/{message_id}/reactions/{emoji_name}/@me": (*Server).react,
	"PUT /channels/{channel_id}/thread-members/@me":                                  (*Server).joinThread,
	"POST /interactions/{interaction_id}/{interaction_token}/callback":               (*Server).callback,

	"POST /webhooks/{webhook_id}/{webhook_token}":                         (*Server).followUp,
	"GET /webhooks/{webhook_id}/{webhook_token}/messages/@original":       (*Server).webGet,
	"PATCH /webhooks/{webhook_id}/{webhook_token}/messages/@original":     (*Server).webEdit,
	"DELETE /webhooks/{webhook_id}/{webhook_token}/messages/@original":    (*Server).webDelete,
	"GET /webhooks/{webhook_id}/{webhook_token}/messages/{message_id}":    (*Server).webGet,
	"PATCH /webhooks/{webhook_id}/{webhook_token}/messages/{message_id}":  (*Server).webEdit,
	"DELETE /webhooks/{webhook_id}/{webhook_token}/messages/{message_id}": (*Server).webDelete,

	"GET /applications/{application_id}/commands":                                   (*Server).getCommands,
	"PUT /applications/{application_id}/commands":                                   (*Server).putCommands,
	"POST /applications/{application_id}/commands":                                  (*Server).postCommand,
	"DELETE /applications/{application_id}/commands/{command_id}":                   (*Server).deleteCommand,
	"GET /applications/{application_id}/guilds/{guild_id}/commands":                 (*Server).getCommands,
	"PUT /applications/{application_id}/guilds/{guild_id}/commands":                 (*Server).putCommands,
	"POST /applications/{application_id}/guilds/{guild_id}/commands":                (*Server).postCommand,
	"DELETE /applications/{application_id}/guilds/{guild_id}/commands/{command_id}": (*Server).deleteCommand,
}

func (s *Server) getGateway(*Request) answer {
	return answer{status: 200, body: map[string]any{"url": "ws://" + s.addr + "/gateway"}}
}

func (s *Server) getGatewayBot(*Request) answer {
	return answer{status: 200, body: map[string]any{"url": "ws://" + s.addr + "/gateway", "shards": s.o.Shards,
		"session_start_limit": map[string]any{"total": s.o.SessionsLeft, "remaining": max(0, s.gate.left), "reset_after": 3600000, "max_concurrency": 1}}}
}

func (s *Server) getMe(*Request) answer {
	o := s.userObj(s.app)
	o["mfa_enabled"], o["locale"], o["verified"] = true, "en-GB", true
	delete(o, "primary_guild")
	return answer{status: 200, body: o}
}

func (s *Server) getUser(req *Request) answer {
	u := s.users[req.params["user_id"]]
	if u == nil {
		return fail(404, 10013, "Unknown User")
	}
	return answer{status: 200, body: s.userObj(u)}
}

func (s *Server) getMyGuilds(*Request) answer {
	out := []any{}
	for _, id := range s.guildOrder {
		if g := s.guilds[id]; !g.gone {
			out = append(out, map[string]any{"id": g.ID, "name": g.Name, "icon": nil, "banner": nil, "owner": false, "permissions": perm(g.roles[0].perms), "features": []any{}})
		}
	}
	return answer{status: 200, body: out}
}

// openDM opens a direct talk; opening it again gives the same one.
func (s *Server) openDM(req *Request) answer {
	u := s.users[scalar(req.Body["recipient_id"])]
	if u == nil || u.Bot {
		return fail(400, 50007, "Cannot send messages to this user")
	}
	return answer{status: 200, body: s.channelObj(s.dm(u))}
}

func (s *Server) getApplication(*Request) answer {
	o := map[string]any{"id": s.app.ID, "name": s.app.Name, "icon": nil, "description": "", "type": nil, "bot": s.userObj(s.app), "bot_public": true,
		"bot_require_code_grant": false, "verify_key": "00", "flags": 0, "flags_new": "0", "redirect_uris": []any{}, "interactions_endpoint_url": nil,
		"role_connections_verification_url": nil, "owner": s.userObj(s.owner()), "approximate_guild_count": len(s.guilds),
		"approximate_user_install_count": 0, "approximate_user_authorization_count": 0, "explicit_content_filter": 0, "team": nil, "eligible_oauth2_scopes": []any{}}
	if s.o.Intents&IntentMessageContent != 0 {
		o["flags"], o["flags_new"] = 1<<19, "524288" // GATEWAY_MESSAGE_CONTENT_LIMITED
	}
	return answer{status: 200, body: o}
}

func (s *Server) owner() *User {
	if len(s.guildOrder) > 0 {
		return s.users[s.guilds[s.guildOrder[0]].owner]
	}
	return s.app
}

func (s *Server) guildOf(req *Request) (*Guild, *answer) {
	g := s.guilds[req.params["guild_id"]]
	if g == nil || g.gone {
		a := fail(404, 10004, "Unknown Guild")
		return nil, &a
	}
	return g, nil
}

func (s *Server) getGuild(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	return answer{status: 200, body: s.guildObj(g)}
}

func (s *Server) getGuildChannels(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	out := []any{}
	for _, c := range g.channels {
		if !c.isThread() {
			out = append(out, s.channelObj(c))
		}
	}
	return answer{status: 200, body: out}
}

func (s *Server) getRoles(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	out := []any{}
	for _, r := range g.roles {
		out = append(out, s.roleObj(g, r))
	}
	return answer{status: 200, body: out}
}

func (s *Server) getMember(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	m := g.members[req.params["user_id"]]
	if m == nil {
		return fail(404, 10007, "Unknown Member")
	}
	return answer{status: 200, body: s.memberObj(g, m, true)}
}

func (s *Server) getActiveThreads(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	out := []any{}
	for _, c := range g.channels {
		if c.isThread() && !c.archived && s.perms(s.app, c)&ViewChannel != 0 {
			out = append(out, s.channelObj(c))
		}
	}
	return answer{status: 200, body: map[string]any{"threads": out, "members": []any{}, "has_more": false}}
}

func (s *Server) channelOf(req *Request, need uint64) (*Channel, *answer) {
	c := s.channels[req.params["channel_id"]]
	if c == nil {
		a := fail(404, 10003, "Unknown Channel")
		return nil, &a
	}
	return c, s.may(c, need)
}

func (s *Server) getChannel(req *Request) answer {
	c, bad := s.channelOf(req, 0)
	if bad != nil {
		return *bad
	}
	return answer{status: 200, body: s.channelObj(c)}
}

// patchChannel knows threads: their name, and whether they are archived.
func (s *Server) patchChannel(req *Request) answer {
	c, bad := s.channelOf(req, 0)
	if bad != nil {
		return *bad
	}
	if c.owner != s.app.ID && s.perms(s.app, c)&ManageThreads == 0 {
		return fail(403, 50013, "Missing Permissions")
	}
	if v, ok := req.Body["name"].(string); ok {
		c.Name = v
	}
	if v, ok := req.Body["archived"].(bool); ok {
		c.archived = v
	}
	s.dispatch(event{name: "THREAD_UPDATE", guild: c.GuildID, channel: c, intent: IntentGuilds, data: s.channelObj(c)})
	s.notify()
	return answer{status: 200, body: s.channelObj(c)}
}

func (s *Server) setTyping(req *Request) answer {
	c, bad := s.channelOf(req, 0)
	if bad != nil {
		return *bad
	}
	if bad := s.may(c, sendPermission(c)); bad != nil {
		return *bad
	}
	c.typing++
	s.counts.Typing++
	s.notify()
	return answer{status: 204}
}

// archivedThreads gives the archived public threads of a channel that is seen.
func (s *Server) archivedThreads(req *Request) answer {
	c, bad := s.channelOf(req, ReadMessageHistory)
	if bad != nil {
		return *bad
	}
	out := []any{}
	if g := s.guilds[c.GuildID]; g != nil {
		for _, x := range g.channels {
			if x.ParentID == c.ID && x.archived && x.Type == typePublicThread {
				out = append(out, s.channelObj(x))
			}
		}
	}
	return answer{status: 200, body: map[string]any{"threads": out, "members": []any{}, "has_more": false}}
}

func (s *Server) getMyMember(req *Request) answer {
	g, bad := s.guildOf(req)
	if bad != nil {
		return *bad
	}
	return answer{status: 200, body: s.memberObj(g, g.members[s.app.ID], true)}
}

// react takes a reaction of the bot; the record has it.
func (s *Server) react(req *Request) answer {
	c, _, bad := s.messageOf(req)
	if bad != nil {
		return *bad
	}
	if bad := s.may(c, AddReactions|ReadMessageHistory); bad != nil {
		return *bad
	}
	return answer{status: 204}
}

func (s *Server) joinThread(req *Request) answer {
	if _, bad := s.channelOf(req, 0); bad != nil {
		return *bad
	}
	return answer{status: 204}
}

// threadFromMessage: the thread has the message's id; there is one at most.
func (s *Server) threadFromMessage(req *Request) answer {
	c, m, bad := s.messageOf(req)
	if bad != nil {
		return *bad
	}
	if bad := s.may(c, CreatePublicThreads|ReadMessageHistory); bad != nil {
		return *bad
	}
	if c.Type != typeText && c.Type != typeNews {
		return fail(400, 50024, "Cannot execute action on this channel type")
	}
	if m.thread != nil {
		return fail(400, 160004, "A thread has already been created for this message")
	}
	kind := typePublicThread
	if c.Type == typeNews {
		kind = typeNewsThread
	}
	th := s.newThread(c, m.ID, kind, req)
	m.thread = th
	m.Flags |= 1 << 5
	s.tellThread(th)
	return answer{status: 201, body: s.channelObj(th)}
}

func (s *Server) threadAlone(req *Request) answer {
	c, bad := s.channelOf(req, 0)
	if bad != nil {
		return *bad
	}
	if c.Type != typeText {
		return fail(400, 50024, "Cannot execute action on this channel type")
	}
	kind, told := req.Body["type"]
	if !told {
		s.violate("%s: no type: the thread would be private", req.Route)
		return invalidForm(errors.New("type is absent"))
	}
	need := CreatePublicThreads
	if integer(kind) == typePrivateThread {
		need = CreatePrivateThreads
	}
	if bad := s.may(c, need); bad != nil {
		return *bad
	}
	th := s.newThread(c, s.newID(), int(integer(kind)), req)
	s.tellThread(th)
	return answer{status: 201, body: s.channelObj(th)}
}

func (s *Server) newThread(c *Channel, id string, kind int, req *Request) *Channel {
	archive := int(integer(req.Body["auto_archive_duration"]))
	if archive == 0 {
		archive = 4320
	}
	th := &Channel{ID: id, Name: str(req.Body["name"]), GuildID: c.GuildID, ParentID: c.ID, Type: kind, srv: s, owner: s.app.ID, autoArchive: archive}
	s.channels[id] = th
	g := s.guilds[c.GuildID]
	g.channels = append(g.channels, th)
	return th
}

func (s *Server) tellThread(th *Channel) {
	data := s.channelObj(th)
	data["newly_created"] = true
	s.dispatch(event{name: "THREAD_CREATE", guild: th.GuildID, channel: th, intent: IntentGuilds, data: data})
	s.notify()
}

// Thread lets a person open a thread on a message.
func (c *Channel) Thread(u *User, name string, on Message) *Channel {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	th := &Channel{ID: on.ID, Name: name, GuildID: c.GuildID, ParentID: c.ID, Type: typePublicThread, srv: s, owner: u.ID, autoArchive: 1440, taken: true}
	s.channels[th.ID] = th
	g := s.guilds[c.GuildID]
	g.channels = append(g.channels, th)
	if m := c.find(on.ID); m != nil {
		m.thread = th
	}
	s.tellThread(th)
	return th
}

// TypingCount says how often the bot has shown that it types here.
func (c *Channel) TypingCount() int {
	c.srv.mu.Lock()
	defer c.srv.mu.Unlock()
	return c.typing
}

// WaitThread waits for a thread that the bot opens in the channel.
func (c *Channel) WaitThread() *Channel {
	s := c.srv
	s.t.Helper()
	ctx, cancel := s.within()
	defer cancel()
	var th *Channel
	ok := s.await(ctx, func() bool {
		for _, x := range s.guilds[c.GuildID].channels {
			if x.ParentID == c.ID && !x.taken {
				x.taken, th = true, x
				return true
			}
		}
		return false
	})
	if !ok {
		s.t.Fatalf("no thread in #%s within %v", c.Name, s.o.Wait)
	}
	return th
}

// Threads are the threads of a channel, oldest first.
func (c *Channel) Threads() []*Channel {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []*Channel
	if g := s.guilds[c.GuildID]; g != nil {
		for _, x := range g.channels {
			if x.ParentID == c.ID && x.isThread() {
				out = append(out, x)
			}
		}
	}
	return out
}

// Age says how long ago a snowflake was made, by the server's clock.
func (s *Server) Age(id string) time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now().Sub(time.UnixMilli(int64(snowflake(id)>>22) + epoch))
}
