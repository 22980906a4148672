package discordtest

import (
	"fmt"
	"slices"
	"strconv"
	"time"
)

// Permission bits (topics/permissions).
const (
	Administrator         uint64 = 1 << 3
	ManageChannels        uint64 = 1 << 4
	ManageGuild           uint64 = 1 << 5
	AddReactions          uint64 = 1 << 6
	ViewChannel           uint64 = 1 << 10
	SendMessages          uint64 = 1 << 11
	ManageMessages        uint64 = 1 << 13
	EmbedLinks            uint64 = 1 << 14
	AttachFiles           uint64 = 1 << 15
	ReadMessageHistory    uint64 = 1 << 16
	MentionEveryone       uint64 = 1 << 17
	ManageRoles           uint64 = 1 << 28
	UseCommands           uint64 = 1 << 31
	ManageThreads         uint64 = 1 << 34
	CreatePublicThreads   uint64 = 1 << 35
	CreatePrivateThreads  uint64 = 1 << 36
	SendMessagesInThreads uint64 = 1 << 38
	allPermissions        uint64 = 1<<53 - 1
)

// DefaultPermissions are what everyone has in a new guild, the bot as well.
const DefaultPermissions = ViewChannel | SendMessages | ReadMessageHistory | EmbedLinks | AttachFiles | AddReactions |
	UseCommands | CreatePublicThreads | CreatePrivateThreads | SendMessagesInThreads

// Intents (events/gateway).
const (
	IntentGuilds         = 1 << 0
	IntentMembers        = 1 << 1
	IntentPresences      = 1 << 8
	IntentGuildMessages  = 1 << 9
	IntentDirectMessages = 1 << 12
	IntentMessageContent = 1 << 15
	privileged           = IntentMembers | IntentPresences | IntentMessageContent
)

// Channel types (resources/channel).
const (
	typeText          = 0
	typeDM            = 1
	typeVoice         = 2
	typeNews          = 5
	typeNewsThread    = 10
	typePublicThread  = 11
	typePrivateThread = 12
	typeForum         = 15
)

// User is somebody, or another bot.
type User struct {
	ID, Name string
	Bot      bool
	srv      *Server
}

// Mention is the text that mentions the user.
func (u *User) Mention() string { return "<@" + u.ID + ">" }

// Role is a role of a guild.
type Role struct {
	ID, Name string
	perms    uint64
}

// Guild is one server of the platform: a house.
type Guild struct {
	ID, Name string
	srv      *Server
	owner    string
	roles    []*Role
	members  map[string]*member
	channels []*Channel
	down     bool // unavailable
	gone     bool
	joined   time.Time
}

type member struct {
	user  *User
	roles []string
	nick  string
}

type overwrite struct {
	id          string
	kind        int // 0 role, 1 member
	allow, deny uint64
}

// Channel is a channel, a thread or a direct talk with the bot.
type Channel struct {
	ID, Name, GuildID, ParentID string
	Type                        int
	srv                         *Server
	over                        []overwrite
	messages                    []*Message // oldest first
	other                       *User      // whom the bot talks with directly
	owner                       string     // who made a thread
	archived, locked            bool
	autoArchive                 int
	closedDM                    bool
	sent                        int
	typing                      int
	taken                       bool // a thread that a test has been given
}

func (c *Channel) isThread() bool { return c.Type >= typeNewsThread && c.Type <= typePrivateThread }

// Mention is the text that links to the channel.
func (c *Channel) Mention() string { return "<#" + c.ID + ">" }

func (s *Server) newUser(name string, bot bool) *User {
	u := &User{ID: s.newID(), Name: name, Bot: bot, srv: s}
	s.users[u.ID] = u
	return u
}

// User adds a person who is in no guild yet.
func (s *Server) User(name string) *User {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.newUser(name, false)
}

// OtherBot adds another bot.
func (s *Server) OtherBot(name string) *User {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.newUser(name, true)
}

// Guild adds a guild with the bot in it; a bot that is connected hears of it.
func (s *Server) Guild(name string) *Guild {
	s.mu.Lock()
	defer s.mu.Unlock()
	g := &Guild{ID: s.newID(), Name: name, srv: s, members: map[string]*member{}, joined: s.now()}
	g.roles = []*Role{{ID: g.ID, Name: "@everyone", perms: DefaultPermissions}}
	owner := s.newUser(name+" owner", false)
	g.owner = owner.ID
	g.members[owner.ID] = &member{user: owner}
	g.members[s.app.ID] = &member{user: s.app}
	s.guilds[g.ID] = g
	s.guildOrder = append(s.guildOrder, g.ID)
	s.dispatch(event{name: "GUILD_CREATE", guild: g.ID, intent: IntentGuilds, data: s.guildCreate(g)})
	return g
}

// Owner is the guild's owner, who may do everything.
func (g *Guild) Owner() *User {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	return g.srv.users[g.owner]
}

// Role adds a role with permissions beyond everyone's.
func (g *Guild) Role(name string, perms uint64) *Role {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	r := &Role{ID: g.srv.newID(), Name: name, perms: perms}
	g.roles = append(g.roles, r)
	g.srv.dispatch(event{name: "GUILD_ROLE_CREATE", guild: g.ID, intent: IntentGuilds, data: map[string]any{"guild_id": g.ID, "role": g.srv.roleObj(g, r)}})
	return r
}

// Everyone sets what everyone may in the guild.
func (g *Guild) Everyone(perms uint64) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.roles[0].perms = perms
}

// Member adds a new person with roles.
func (g *Guild) Member(name string, roles ...*Role) *User {
	g.srv.mu.Lock()
	u := g.srv.newUser(name, false)
	g.srv.mu.Unlock()
	g.Join(u, roles...)
	return u
}

// Join adds a user to the guild, or changes the roles of one who is in it.
func (g *Guild) Join(u *User, roles ...*Role) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	m := &member{user: u}
	for _, r := range roles {
		m.roles = append(m.roles, r.ID)
	}
	g.members[u.ID] = m
}

// Leave takes a user out of the guild.
func (g *Guild) Leave(u *User) {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	delete(g.members, u.ID)
}

// Channel adds a text channel.
func (g *Guild) Channel(name string) *Channel {
	s := g.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	c := &Channel{ID: s.newID(), Name: name, GuildID: g.ID, Type: typeText, srv: s}
	g.channels = append(g.channels, c)
	s.channels[c.ID] = c
	s.dispatch(event{name: "CHANNEL_CREATE", guild: g.ID, channel: c, intent: IntentGuilds, data: s.channelObj(c)})
	return c
}

// ChannelOf adds a channel of another type: 2 voice, 5 announcements, 15 forum.
func (g *Guild) ChannelOf(name string, kind int) *Channel {
	s := g.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	c := &Channel{ID: s.newID(), Name: name, GuildID: g.ID, Type: kind, srv: s}
	g.channels = append(g.channels, c)
	s.channels[c.ID] = c
	s.dispatch(event{name: "CHANNEL_CREATE", guild: g.ID, channel: c, intent: IntentGuilds, data: s.channelObj(c)})
	return c
}

// Post opens a post in a forum: a thread with the id of its first message.
func (c *Channel) Post(u *User, title, text string) (*Channel, Message) {
	s := c.srv
	s.mu.Lock()
	th := &Channel{ID: s.newID(), Name: title, GuildID: c.GuildID, ParentID: c.ID, Type: typePublicThread, srv: s, owner: u.ID, autoArchive: 1440, taken: true}
	s.lastID-- // its first message has the same id
	s.channels[th.ID] = th
	g := s.guilds[c.GuildID]
	g.channels = append(g.channels, th)
	s.tellThread(th)
	s.mu.Unlock()
	return th, th.Say(u, text)
}

// Delete takes the channel away; requests for it answer 10003.
func (c *Channel) Delete() {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	data := s.channelObj(c)
	delete(s.channels, c.ID)
	g := s.guilds[c.GuildID]
	g.channels = slices.DeleteFunc(g.channels, func(x *Channel) bool { return x == c })
	s.dispatch(event{name: "CHANNEL_DELETE", guild: c.GuildID, intent: IntentGuilds, data: data})
}

// DM is the direct talk between a user and the bot.
func (s *Server) DM(u *User) *Channel {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.dm(u)
}

func (s *Server) dm(u *User) *Channel {
	if c := s.dms[u.ID]; c != nil {
		return c
	}
	c := &Channel{ID: s.newID(), Name: u.Name, Type: typeDM, srv: s, other: u}
	s.dms[u.ID] = c
	s.channels[c.ID] = c
	return c
}

// RefuseDM makes the user's direct talk unreachable: sends answer 50007.
func (s *Server) RefuseDM(u *User, refuse bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.dm(u).closedDM = refuse
}

// Unavailable tells of an outage of the guild; Available ends it.
func (g *Guild) Unavailable() {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.down = true
	g.srv.dispatch(event{name: "GUILD_DELETE", guild: g.ID, intent: IntentGuilds, data: map[string]any{"id": g.ID, "unavailable": true}})
}

// Available sends the guild anew.
func (g *Guild) Available() {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.down = false
	g.srv.dispatch(event{name: "GUILD_CREATE", guild: g.ID, intent: IntentGuilds, data: g.srv.guildCreate(g)})
}

// Kick takes the bot out of the guild.
func (g *Guild) Kick() {
	g.srv.mu.Lock()
	defer g.srv.mu.Unlock()
	g.gone = true
	delete(g.members, g.srv.app.ID)
	g.srv.dispatch(event{name: "GUILD_DELETE", guild: g.ID, intent: IntentGuilds, data: map[string]any{"id": g.ID}})
}

// Allow and Deny set permissions of a user in a channel, over his roles'.
func (c *Channel) Allow(u *User, perms uint64) { c.overwrite(u.ID, 1, perms, 0) }

// Deny takes permissions from a user in a channel.
func (c *Channel) Deny(u *User, perms uint64) { c.overwrite(u.ID, 1, 0, perms) }

// DenyRole takes permissions from a role in a channel.
func (c *Channel) DenyRole(r *Role, perms uint64) { c.overwrite(r.ID, 0, 0, perms) }

func (c *Channel) overwrite(id string, kind int, allow, deny uint64) {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(c.over, func(o overwrite) bool { return o.id == id })
	if i < 0 {
		c.over = append(c.over, overwrite{id: id, kind: kind})
		i = len(c.over) - 1
	}
	c.over[i].allow = c.over[i].allow&^deny | allow
	c.over[i].deny = c.over[i].deny&^allow | deny
	s.dispatch(event{name: "CHANNEL_UPDATE", guild: c.GuildID, channel: c, intent: IntentGuilds, data: s.channelObj(c)})
}

// Archive closes a thread; locked ones open for moderators only.
func (c *Channel) Archive(locked bool) {
	s := c.srv
	s.mu.Lock()
	defer s.mu.Unlock()
	c.archived, c.locked = true, locked
	s.dispatch(event{name: "THREAD_UPDATE", guild: c.GuildID, channel: c, intent: IntentGuilds, data: s.channelObj(c)})
}

// perms are what a user may in a channel (topics/permissions): owner and
// administrators all; else everyone, roles, then the channel's overwrites.
func (s *Server) perms(u *User, c *Channel) uint64 {
	if c.GuildID == "" {
		return DefaultPermissions
	}
	g := s.guilds[c.GuildID]
	m := g.members[u.ID]
	if m == nil {
		return 0
	}
	if u.ID == g.owner {
		return allPermissions
	}
	p := g.roles[0].perms
	for _, r := range g.roles[1:] {
		if slices.Contains(m.roles, r.ID) {
			p |= r.perms
		}
	}
	if p&Administrator != 0 {
		return allPermissions
	}
	over := c.over
	if parent := s.channels[c.ParentID]; parent != nil {
		over = parent.over
	}
	apply := func(match func(o overwrite) bool) {
		var allow, deny uint64
		for _, o := range over {
			if match(o) {
				allow |= o.allow
				deny |= o.deny
			}
		}
		p = p&^deny | allow
	}
	apply(func(o overwrite) bool { return o.id == g.ID })
	apply(func(o overwrite) bool { return o.kind == 0 && o.id != g.ID && slices.Contains(m.roles, o.id) })
	apply(func(o overwrite) bool { return o.kind == 1 && o.id == u.ID })
	return p
}

func (s *Server) userObj(u *User) map[string]any {
	o := map[string]any{"id": u.ID, "username": u.Name, "avatar": nil, "discriminator": "0", "public_flags": 0, "flags": 0, "global_name": u.Name, "primary_guild": nil}
	if u.Bot {
		o["bot"], o["global_name"] = true, nil
	}
	return o
}

func (s *Server) memberObj(g *Guild, m *member, withUser bool) map[string]any {
	o := map[string]any{"avatar": nil, "banner": nil, "communication_disabled_until": nil, "flags": 0, "joined_at": stamp(g.joined),
		"nick": nil, "pending": false, "premium_since": nil, "roles": texts(m.roles), "mute": false, "deaf": false}
	if m.nick != "" {
		o["nick"] = m.nick
	}
	if withUser {
		o["user"] = s.userObj(m.user)
	}
	return o
}

func (s *Server) roleObj(g *Guild, r *Role) map[string]any {
	return map[string]any{"id": r.ID, "name": r.Name, "permissions": strconv.FormatUint(r.perms, 10), "position": slices.Index(g.roles, r), "color": 0,
		"colors": map[string]any{"primary_color": 0, "secondary_color": nil, "tertiary_color": nil}, "hoist": false, "managed": false,
		"mentionable": false, "icon": nil, "unicode_emoji": nil, "flags": 0}
}

func (s *Server) channelObj(c *Channel) map[string]any {
	o := map[string]any{"id": c.ID, "type": c.Type, "flags": 0, "last_message_id": nil}
	if n := len(c.messages); n > 0 {
		o["last_message_id"] = c.messages[n-1].ID
	}
	switch c.Type {
	case typeDM:
		o["recipients"] = []any{s.userObj(c.other)}
	case typeNewsThread, typePublicThread, typePrivateThread:
		o["guild_id"], o["name"], o["parent_id"], o["owner_id"] = c.GuildID, c.Name, c.ParentID, c.owner
		o["thread_metadata"] = map[string]any{"archived": c.archived, "archive_timestamp": stamp(s.started), "auto_archive_duration": c.autoArchive, "locked": c.locked}
		o["message_count"], o["member_count"], o["total_message_sent"] = c.sent, 1, c.sent
	default:
		o["guild_id"], o["name"], o["position"] = c.GuildID, c.Name, slices.Index(s.guilds[c.GuildID].channels, c)
		over := []any{}
		for _, w := range c.over {
			over = append(over, map[string]any{"id": w.id, "type": w.kind, "allow": strconv.FormatUint(w.allow, 10), "deny": strconv.FormatUint(w.deny, 10)})
		}
		o["permission_overwrites"] = over
	}
	return o
}

func (s *Server) guildObj(g *Guild) map[string]any {
	roles := []any{}
	for _, r := range g.roles {
		roles = append(roles, s.roleObj(g, r))
	}
	o := map[string]any{"id": g.ID, "name": g.Name, "owner_id": g.owner, "roles": roles, "features": []any{}, "emojis": []any{}, "stickers": []any{},
		"region": "deprecated", "afk_timeout": 300, "preferred_locale": "en-GB", "max_members": 500000, "max_stage_video_channel_users": 50,
		"max_video_channel_users": 25, "widget_enabled": false, "premium_progress_bar_enabled": false, "nsfw": false}
	for _, k := range []string{"icon", "description", "home_header", "splash", "discovery_splash", "banner", "application_id", "afk_channel_id", "system_channel_id",
		"widget_channel_id", "max_presences", "vanity_url_code", "rules_channel_id", "safety_alerts_channel_id", "public_updates_channel_id", "incidents_data"} {
		o[k] = nil
	}
	for _, k := range []string{"system_channel_flags", "verification_level", "default_message_notifications", "mfa_level", "explicit_content_filter", "premium_tier",
		"premium_subscription_count", "nsfw_level"} {
		o[k] = 0
	}
	return o
}

// guildCreate is the guild with what GUILD_CREATE adds (events/gateway-events, Guild Create).
func (s *Server) guildCreate(g *Guild) map[string]any {
	o := s.guildObj(g)
	channels, threads := []any{}, []any{}
	for _, c := range g.channels {
		switch {
		case s.perms(s.app, c)&ViewChannel == 0:
		case !c.isThread():
			channels = append(channels, s.channelObj(c))
		case !c.archived:
			threads = append(threads, s.channelObj(c))
		}
	}
	o["channels"], o["threads"] = channels, threads
	o["members"] = []any{s.memberObj(g, &member{user: s.app}, true)}
	o["member_count"], o["joined_at"], o["large"], o["unavailable"] = len(g.members), stamp(g.joined), false, false
	for _, k := range []string{"voice_states", "presences", "stage_instances", "guild_scheduled_events", "soundboard_sounds"} {
		o[k] = []any{}
	}
	return o
}

func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000+00:00") }

func texts(in []string) []any {
	out := make([]any, len(in))
	for i, v := range in {
		out[i] = v
	}
	return out
}

func snowflake(id string) uint64 {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil {
		panic(fmt.Sprintf("%q is no snowflake", id))
	}
	return n
}
