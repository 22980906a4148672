package discord

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/wire"
	"tamis/bot/reply"
)

// Asker answers the messages of one house.
type Asker interface {
	Ask(ctx context.Context, m bot.Message) (bot.Reply, error)
	// Book is the newest book, to offer its names.
	Book(ctx context.Context) (*answer.Book, error)
}

// House is a house as the adapter serves it.
type House struct {
	ID     string
	Guilds []string // servers of the platform; none: each one that no other house names
	Open   []string // channels where messages are answered that address nobody
	Asker  Asker
}

// Counter counts what happens; labels hold no words of a message.
type Counter interface {
	// Answered is called for each answer that is out: the way it was asked
	// ("mention", "direct", "open", "command", "button", "entry", "form", "edit") and
	// the time from the event to the platform's receipt.
	Answered(way string, took time.Duration)
	// Count counts a thing: "dropped connection", "429", "duplicate", "too many waiting"…
	Count(what string)
}

type noCounter struct{}

func (noCounter) Answered(string, time.Duration) {}
func (noCounter) Count(string)                   {}

// Options are what an adapter is made of.
type Options struct {
	Token  string
	API    string // base of the REST side; "": the public one
	Houses []House
	// Dir is where what was answered is kept; "": it ends with the program.
	Dir    string
	Shards wire.Shards
	// Limits and Timing; their zero values suit the platform.
	Limits wire.Limits
	Timing wire.Timing
	// Patience is how long something may take before it is acknowledged as slow; 0 is 1 s.
	Patience time.Duration
	// LookAgain is after how long it is looked anew for what was missed, where a
	// channel could not be read; 0 is 15 s.
	LookAgain time.Duration
	// Stop is how long a stop waits for what was begun; 0 is 10 s.
	Stop    time.Duration
	Counter Counter
	Log     *slog.Logger
	Now     func() time.Time
}

// Adapter is the bot in the team's channel. Run it once.
type Adapter struct {
	o     Options
	log   *slog.Logger
	count Counter
	rest  *wire.REST
	t     *wire.Transport
	fleet *wire.Fleet
	mem   *memory
	words *reply.Catalogue
	sign  []byte // secret of the buttons

	entries []entry // commands and entries of a message's menu
	me, app string
	lanes   *lanes
	work    context.Context // of all that is begun; ends after the last of it
	abandon context.CancelCauseFunc
	stop    atomic.Bool
	seen    *recent
	asking  chan struct{} // bounds what is worked out at once
	better  chan struct{} // bounds the wordings that are waited for
	looking chan struct{} // bounds the channels that are looked back in at once
	aside   sync.WaitGroup
	content bool // the application may read plain messages

	mu     sync.Mutex
	guilds map[string]*guild
	places map[string]*place
	lively map[string]time.Time
	marks  map[string]uint32     // of the last reply of a talk
	types  map[string]typist     // who types in a direct talk
	known  map[string]known      // roles as they were a moment ago
	looks  map[string]*lookAt    // channels that wait to be looked back in
	folds  map[string]foldedBook // by house
	bald   map[string]time.Time  // channels that took no cards or files, and when
	up     bool
}

// errAbandoned ends everything at once, as a lost machine would.
var errAbandoned = errors.New("abandoned")

// New checks the options and opens what is kept.
func New(o Options) (*Adapter, error) {
	if o.Token = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(o.Token), "Bot ")); o.Token == "" {
		return nil, errors.New("there is no token for the channel: write it into TAMIS_DISCORD_TOKEN, or name a file with it in TAMIS_DISCORD_TOKEN_FILE")
	}
	if o.API == "" {
		o.API = wire.PublicAPI
	} else if o.Limits.PerSecond == 0 {
		o.Limits.PerSecond = -1 // another server's own limit is told by its 429s
	}
	if err := checkHouses(o.Houses); err != nil {
		return nil, err
	}
	if o.Counter == nil {
		o.Counter = noCounter{}
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Patience == 0 {
		o.Patience = time.Second
	}
	if o.LookAgain == 0 {
		o.LookAgain = 15 * time.Second
	}
	if o.Stop == 0 {
		o.Stop = 10 * time.Second
	}
	words, err := reply.NewCatalogue()
	if err != nil {
		return nil, err
	}
	t, err := wire.NewTransport(o.API, o.Limits, o.Log)
	if err != nil {
		return nil, err
	}
	t.Limited = func(scope string) { o.Counter.Count(strings.TrimSpace("429 " + scope)) }
	rest, err := wire.NewREST(t, o.Token)
	if err != nil {
		return nil, err
	}
	mem, err := openMemory(o.Dir, o.Now())
	if err != nil {
		return nil, err
	}
	if mem.lost != "" {
		o.Log.Warn(mem.lost)
	}
	a := &Adapter{o: o, log: o.Log, count: o.Counter, rest: rest, t: t, mem: mem, words: words, entries: entries, seen: newRecent(20000),
		asking: make(chan struct{}, 32), better: make(chan struct{}, 32), guilds: map[string]*guild{}, places: map[string]*place{}, lively: map[string]time.Time{}, marks: map[string]uint32{}, types: map[string]typist{}, known: map[string]known{}, bald: map[string]time.Time{}, folds: map[string]foldedBook{}, looks: map[string]*lookAt{}, looking: make(chan struct{}, mostLooking)}
	if a.sign, err = mem.secret(); err != nil {
		return nil, errors.Join(fmt.Errorf("the secret of the buttons: %w", err), mem.close())
	}
	a.work, a.abandon = context.WithCancelCause(context.Background())
	a.lanes = newLanes(a.work)
	return a, nil
}

// Run serves the channels until ctx ends; then it finishes what was begun.
//
//   - Errors: [wire.ErrToken] and [*wire.FatalError], whose text says what to do.
func (a *Adapter) Run(ctx context.Context) (err error) {
	defer func() {
		a.abandon(errAbandoned)
		a.lanes.close()
		a.aside.Wait()
		a.t.CloseIdle()
		err = errors.Join(err, a.mem.close())
	}()
	if err := a.arrive(ctx); err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return err
	}
	left, err := a.mem.begun()
	if err != nil {
		a.log.Error("what was acknowledged before the restart could not be read", "err", err)
	}
	a.aside.Go(func() { a.takeUp(left) })
	session, leave := context.WithCancel(a.work)
	defer leave()
	stopping := context.AfterFunc(ctx, func() { a.stop.Store(true); leave() })
	defer stopping()
	a.aside.Go(func() { a.housekeeping(session) })
	a.fleet = wire.NewFleet(a.rest, wire.Options{Token: a.o.Token, Intents: a.intents(), Shards: a.o.Shards, Timing: a.o.Timing, Handle: a.handle, Log: a.log,
		Dropped: func(int) { a.count.Count("dropped connection") }})
	a.mu.Lock()
	a.up = true
	a.mu.Unlock()
	err = a.fleet.Run(session)
	a.stop.Store(true)
	leave()
	if a.work.Err() == nil && !a.lanes.drain(a.o.Stop) {
		a.log.Warn("not all that was begun is answered; it is when tamis starts again within ten minutes")
	}
	return err
}

// Ready reports how many sessions are connected, and how many there are.
func (a *Adapter) Ready() (ready, all int) {
	a.mu.Lock()
	up := a.up
	a.mu.Unlock()
	if !up {
		return 0, 1
	}
	return a.fleet.Ready()
}

// Intents (events/gateway). None of the first three is privileged.
const (
	intentGuilds         = 1 << 0
	intentGuildMessages  = 1 << 9
	intentDirectMessages = 1 << 12
	intentContent        = 1 << 15
)

func (a *Adapter) intents() int {
	n := intentGuilds | intentGuildMessages | intentDirectMessages
	if a.content {
		n |= intentContent
	}
	return n
}

// arrive finds out who we are, registers the commands and says what is missing.
func (a *Adapter) arrive(ctx context.Context) error {
	var app application
	for wait := time.Second; ; wait = min(2*wait, time.Minute) {
		err := a.whoAmI(ctx, &app)
		if err == nil {
			break
		}
		if errors.Is(err, wire.ErrToken) || wire.Status(err) == http.StatusUnauthorized {
			return fmt.Errorf("%w: take a new one from the application's page and write it into TAMIS_DISCORD_TOKEN", wire.ErrToken)
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		a.log.Warn("the messaging platform does not answer", "err", err, "again in", wait)
		if !pause(ctx, wait) {
			return ctx.Err()
		}
	}
	a.app, a.me = app.ID, app.ID
	if app.Bot != nil && app.Bot.ID != "" {
		a.me = app.Bot.ID
	}
	for _, h := range a.o.Houses { // the first who asks need not wait for the book's names to be laid out
		if b, err := h.Asker.Book(ctx); err == nil && len(b.Snap.Recipes) > 0 {
			a.folded(&h, b.Snap)
			b.Lex.Nearest("x"+b.Snap.Recipes[0].Name, 1) // with a slip: what those need is made as well
		}
	}
	if a.wantsContent() {
		if a.content = app.Flags&(1<<18|1<<19) != 0; !a.content {
			a.log.Error("a channel is marked as open, but the application may not read plain messages: switch the message content intent on on the application's page. Until then mentions, direct messages and commands are answered")
		}
	}
	a.log.Info("invite the bot with the least permissions", "link", Invite(a.app))
	if a.o.Shards.First == 0 {
		if err := a.rest.Do(ctx, http.MethodPut, "/applications/"+a.app+"/commands", a.definitions(), nil); err != nil {
			a.log.Error("the commands could not be registered; mentions and direct messages work", "err", err)
		}
	}
	return nil
}

// application is what the platform says of us.
type application struct {
	ID    string `json:"id"`
	Flags int    `json:"flags"`
	Bot   *user  `json:"bot"`
}

// whoAmI asks for the application and its bot; a server that does not tell of
// applications has the bot's user, whose id is the same but for very old ones.
func (a *Adapter) whoAmI(ctx context.Context, app *application) error {
	err := a.rest.Do(ctx, http.MethodGet, "/applications/@me", nil, app)
	if err == nil && app.ID != "" && app.Bot != nil && app.Bot.ID != "" {
		return nil
	}
	if err != nil && (!final(err) || wire.Status(err) == http.StatusUnauthorized) {
		return err
	}
	var me user
	if err := a.rest.Do(ctx, http.MethodGet, "/users/@me", nil, &me); err != nil {
		return err
	}
	if me.ID == "" {
		return errors.New("the bot's user has no id")
	}
	app.Bot = &me
	if app.ID == "" {
		app.ID = me.ID
	}
	return nil
}

// Permission bits (topics/permissions) that the bot needs.
var needed = []struct {
	bit  uint64
	name string
}{
	{10, "View Channels"}, {11, "Send Messages"}, {35, "Create Public Threads"}, {38, "Send Messages in Threads"}, {14, "Embed Links"}, {15, "Attach Files"}, {16, "Read Message History"},
}

// Permissions are what the bot needs in a server, and nothing more.
func Permissions() (bits uint64) {
	for _, n := range needed {
		bits |= 1 << n.bit
	}
	return bits
}

// Invite is the link that adds an application's bot to a server with the least permissions.
func Invite(app string) string {
	return "https://discord.com/oauth2/authorize?client_id=" + url.QueryEscape(app) + "&scope=bot+applications.commands&permissions=" + fmt.Sprint(Permissions())
}

// housekeeping drops what is too old to be asked for.
func (a *Adapter) housekeeping(ctx context.Context) {
	for pause(ctx, 10*time.Minute) {
		if err := a.mem.prune(a.o.Now()); err != nil {
			a.log.Warn("old answers could not be dropped", "err", err)
		}
	}
}

func pause(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// recent remembers the last ids.
type recent struct {
	mu   sync.Mutex
	ids  map[string]bool
	ring []string
	at   int
}

func newRecent(n int) *recent { return &recent{ids: make(map[string]bool, n), ring: make([]string, n)} }

// add notes an id; false: it was there.
func (r *recent) add(id string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.ids[id] {
		return false
	}
	delete(r.ids, r.ring[r.at])
	r.ring[r.at] = id
	r.at = (r.at + 1) % len(r.ring)
	r.ids[id] = true
	return true
}

func (r *recent) has(id string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.ids[id]
}

func (r *recent) drop(id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.ids, id)
}
