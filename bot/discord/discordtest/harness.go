package discordtest

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"
)

// House is what a bot under load is started with.
type House struct {
	Server     *Server
	API, Token string
	Dir        string // where the bot may keep what it must not forget
	Guild      *Guild
	Channels   []*Channel
	People     []*User
}

// StartBot runs a bot until ctx is done and returns when it has stopped. The
// cause of ctx is ErrStop, when it may finish what it has begun, or ErrKill,
// when it must stop at once, as if the machine had lost its power.
type StartBot func(ctx context.Context, h House) error

// How a bot is ended.
var (
	ErrStop = errors.New("stop when you are done")
	ErrKill = errors.New("stop at once")
)

// LoadOptions set up a run of questions.
type LoadOptions struct {
	Questions func(i int) string // what is asked, without the mention; each is answered by one reply
	Channels  int                // 0 is 20
	Rate      int                // questions a second; 0 is 100
	For       time.Duration      // 0 is 5 s
	Total     int                // questions; 0 is Rate × For
	Drain     time.Duration      // how long the last answers may take; 0 is 20 s
	InFlight  int                // questions that may wait for their answer at once; 0 is no limit
	Server    Options            // limits are lifted unless they are set
	Prepare   func(h House)      // before the bot starts

	each func(done int, ta *tally)
}

// Report is what came of a run.
type Report struct {
	Asked, Lost, Doubled int
	P50, P99, Max        time.Duration
	Took                 time.Duration
	Restarts, Drops      int
	Counts               Counts
}

func (r Report) String() string {
	return fmt.Sprintf("%d asked in %v, %d lost, %d doubled; p50 %v, p99 %v, longest %v; %d drops, %d restarts; %+v", r.Asked, r.Took.Round(time.Millisecond), r.Lost, r.Doubled,
		r.P50.Round(10*time.Microsecond), r.P99.Round(10*time.Microsecond), r.Max.Round(10*time.Microsecond), r.Drops, r.Restarts, r.Counts)
}

// tally keeps, for each question, when it was asked and how often it was answered.
type tally struct {
	mu      sync.Mutex
	asked   map[string]time.Time
	replies map[string]int
	first   map[string]time.Time
	order   []string // answered, oldest first
	lat     []time.Duration
	n, done int // questions asked, and answered
	doubled int
	bounded bool // forget what was answered long ago: for long runs
}

// heard is called with the server's lock held: it must not call the server.
func (ta *tally) heard(m Message) {
	if m.ReplyTo == "" {
		return
	}
	now := time.Now()
	ta.mu.Lock()
	defer ta.mu.Unlock()
	if ta.replies[m.ReplyTo]++; ta.replies[m.ReplyTo] > 1 {
		ta.doubled++
		return
	}
	ta.first[m.ReplyTo] = now
	ta.order = append(ta.order, m.ReplyTo)
	ta.match(m.ReplyTo)
	if ta.bounded && len(ta.order) > 20000 {
		for _, id := range ta.order[:10000] {
			delete(ta.asked, id)
			delete(ta.replies, id)
			delete(ta.first, id)
		}
		ta.order = append([]string(nil), ta.order[10000:]...)
	}
	if ta.bounded && len(ta.lat) > 100000 {
		ta.lat = append(ta.lat[:0], ta.lat[50000:]...)
	}
}

// match counts an answer once both it and its question are known.
func (ta *tally) match(id string) {
	began, asked := ta.asked[id]
	at, answered := ta.first[id]
	if asked && answered {
		ta.lat = append(ta.lat, at.Sub(began))
		ta.done++
	}
}

func (ta *tally) report() Report {
	ta.mu.Lock()
	defer ta.mu.Unlock()
	r := Report{Asked: ta.n, Lost: ta.n - ta.done, Doubled: ta.doubled}
	if l := slices.Sorted(slices.Values(ta.lat)); len(l) > 0 {
		r.P50, r.P99, r.Max = l[len(l)/2], l[len(l)*99/100], l[len(l)-1]
	}
	return r
}

func (ta *tally) open() int {
	ta.mu.Lock()
	defer ta.mu.Unlock()
	return ta.n - ta.done
}

func (o LoadOptions) house(t testing.TB) (House, *tally) {
	so := o.Server
	if so.Rate.Requests == 0 {
		so.Rate = Limit{1 << 20, time.Second}
	}
	if so.GlobalRate == 0 {
		so.GlobalRate = -1
	}
	if so.Wait == 0 {
		so.Wait = 20 * time.Second
	}
	s := Start(t, so)
	h := House{Server: s, API: s.API(), Token: s.Token(), Dir: t.TempDir(), Guild: s.Guild("Lodehavn")}
	if o.Channels == 0 {
		o.Channels = 20
	}
	for i := range o.Channels {
		h.Channels = append(h.Channels, h.Guild.Channel(fmt.Sprint("station-", i)))
		h.People = append(h.People, h.Guild.Member(fmt.Sprint("commis ", i)))
	}
	ta := &tally{asked: map[string]time.Time{}, replies: map[string]int{}, first: map[string]time.Time{}}
	s.OnBotMessage(ta.heard)
	if o.Prepare != nil {
		o.Prepare(h)
	}
	return h, ta
}

// ask says one question in the channel whose turn it is.
func (ta *tally) ask(h House, o LoadOptions, i int) {
	c, u := h.Channels[i%len(h.Channels)], h.People[i%len(h.People)]
	began := time.Now()
	m := c.Ask(u, o.Questions(i))
	ta.mu.Lock()
	defer ta.mu.Unlock()
	ta.asked[m.ID] = began
	ta.n++
	ta.match(m.ID) // the answer may have come first
}

// run starts the bot and gives what ends it and waits for it.
func run(t testing.TB, h House, start StartBot) func(cause error) {
	ctx, cancel := context.WithCancelCause(context.Background())
	done := make(chan error, 1)
	go func() { done <- start(ctx, h) }()
	return func(cause error) {
		t.Helper()
		cancel(cause)
		select {
		case err := <-done:
			if err != nil && !errors.Is(err, context.Canceled) && !errors.Is(err, cause) {
				t.Errorf("the bot ended with: %v", err)
			}
		case <-time.After(30 * time.Second):
			t.Errorf("the bot did not end within 30 s of: %v", cause)
		}
	}
}

// Load asks so many questions a second and counts answers. It asserts nothing
// but that the bot starts and ends: the caller looks at the report.
func Load(t testing.TB, o LoadOptions, start StartBot) Report {
	t.Helper()
	if o.Rate == 0 {
		o.Rate = 100
	}
	if o.For == 0 {
		o.For = 5 * time.Second
	}
	if o.Total == 0 {
		o.Total = int(float64(o.Rate) * o.For.Seconds())
	}
	if o.Drain == 0 {
		o.Drain = 20 * time.Second
	}
	h, ta := o.house(t)
	ta.bounded = o.Total > 50000
	end := run(t, h, start)
	h.Server.WaitReady(1)
	began := time.Now()
	for i := range o.Total {
		if d := time.Until(began.Add(time.Duration(i) * time.Second / time.Duration(o.Rate))); d > 0 {
			time.Sleep(d)
		}
		for o.InFlight > 0 && ta.open() >= o.InFlight {
			time.Sleep(time.Millisecond)
		}
		ta.ask(h, o, i)
		if o.each != nil && i%1000 == 999 {
			o.each(i+1, ta)
		}
	}
	ta.drain(o.Drain)
	took := time.Since(began)
	end(ErrStop)
	r := ta.report()
	r.Took, r.Counts = took, h.Server.Counts()
	return r
}

// drain waits for the last answers, and a little longer for doubled ones.
func (ta *tally) drain(most time.Duration) {
	for end := time.Now().Add(most); ta.open() > 0 && time.Now().Before(end); {
		time.Sleep(5 * time.Millisecond)
	}
	time.Sleep(300 * time.Millisecond)
}

// ChaosOptions set up a run of faults.
type ChaosOptions struct {
	LoadOptions
	Faults int    // 0 is 20
	Seed   uint64 // of the faults
	// Every is the mean time between faults; 0 is 300 ms.
	Every time.Duration
	// Gentle leaves ErrKill out.
	Gentle bool
}

// Chaos asks questions while connections are cut in every way, requests fail,
// and the bot is restarted, and counts answers: each question is to be answered
// once. Questions go on through all of it.
func Chaos(t testing.TB, o ChaosOptions, start StartBot) Report {
	t.Helper()
	if o.Faults == 0 {
		o.Faults = 20
	}
	if o.Every == 0 {
		o.Every = 300 * time.Millisecond
	}
	if o.Rate == 0 {
		o.Rate = 20
	}
	if o.Drain == 0 {
		o.Drain = 60 * time.Second
	}
	if o.Channels == 0 {
		o.Channels = 5
	}
	if o.Server.KeepMessages == 0 {
		o.Server.KeepMessages = 100000
	}
	h, ta := o.house(t)
	s := h.Server
	end := run(t, h, start)
	s.WaitReady(1)
	began := time.Now()
	stop, asked := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(asked)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			case <-time.After(time.Second / time.Duration(o.Rate)):
				ta.ask(h, o.LoadOptions, i)
			}
		}
	}()
	rng := rand.New(rand.NewPCG(o.Seed, 1))
	var drops, restarts int
	for range o.Faults {
		time.Sleep(time.Duration(rng.Float64() * 2 * float64(o.Every)))
		switch k := rng.IntN(16); k {
		case 0, 1:
			s.DropAll(DropReset)
		case 2:
			s.DropAll(DropMidFrame)
		case 3:
			s.DropAll(DropClean)
		case 4:
			s.AskReconnect()
		case 5:
			s.InvalidateSessions(rng.IntN(2) == 0)
		case 6:
			s.CloseWith([]int{4000, 4002, 4007, 4008, 4009}[rng.IntN(5)])
		case 7:
			s.ForgetSessions()
			s.DropAll(DropReset)
		case 8:
			s.FailConnections(ConnFault{DropAfterReady: true})
			s.DropAll(DropReset)
		case 9:
			s.FailConnections(ConnFault{DropAfterHello: true})
			s.DropAll(DropReset)
		case 10: // the message is there, its answer is lost
			s.Inject(Fault{Route: "POST /channels/{channel_id}/messages", Times: 1 + rng.IntN(3), Reset: true, After: true})
		case 11:
			s.Inject(Fault{Route: "POST /channels/{channel_id}/messages", Times: 1 + rng.IntN(3), Status: []int{500, 502, 503}[rng.IntN(3)]})
		case 12:
			s.Inject(Fault{Route: "POST /channels/{channel_id}/messages", Times: 1, Status: 429, RetryAfter: 200 * time.Millisecond, Scope: []string{"user", "shared", "global"}[rng.IntN(3)]})
		case 13:
			s.Doubled(true)
			time.Sleep(100 * time.Millisecond)
			s.Doubled(false)
		default: // restart
			restarts++
			cause := ErrStop
			if !o.Gentle && rng.IntN(2) == 0 {
				cause = ErrKill
			}
			end(cause)
			time.Sleep(time.Duration(rng.IntN(200)) * time.Millisecond)
			end = run(t, h, start)
			continue
		}
		drops++
	}
	close(stop)
	<-asked
	ta.drain(o.Drain)
	took := time.Since(began)
	end(ErrStop)
	r := ta.report()
	r.Took, r.Counts, r.Drops, r.Restarts = took, s.Counts(), drops, restarts
	return r
}

// Memory asks total questions and gives the heap in use, collected, after each
// tenth of them. A bot in another process is measured with resident, if given.
func Memory(t testing.TB, o LoadOptions, total int, start StartBot, resident func() uint64) (Report, []uint64) {
	t.Helper()
	o.Total = total
	if o.Rate == 0 {
		o.Rate = 500
	}
	if o.InFlight == 0 {
		o.InFlight = 200
	}
	if o.Server.KeepRequests == 0 {
		o.Server.KeepRequests = 200
	}
	if o.Server.KeepMessages == 0 {
		o.Server.KeepMessages = 200
	}
	if o.Server.KeepEvents == 0 {
		o.Server.KeepEvents = 500
	}
	var heap []uint64
	step := max(1000, total/10/1000*1000)
	o.each = func(done int, ta *tally) {
		if done%step != 0 {
			return
		}
		for range 2000 { // what is under way is no leak
			if ta.open() == 0 {
				break
			}
			time.Sleep(time.Millisecond)
		}
		if resident != nil {
			heap = append(heap, resident())
			return
		}
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		heap = append(heap, m.HeapAlloc)
	}
	r := Load(t, o, start)
	return r, heap
}
