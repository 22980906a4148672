package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"tamis/kb/recipe"
)

// counters are what can be measured of the program; no label ever holds words of a message.
type counters struct {
	all     *prometheus.Registry
	answers *prometheus.HistogramVec
	commits *prometheus.CounterVec
	said    *prometheus.HistogramVec
	events  *prometheus.CounterVec
	channel func() (ready, all int) // nil: no channel is connected
}

func newCounters() *counters {
	c := &counters{
		all: prometheus.NewRegistry(),
		answers: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "tamis_answer_seconds", Help: "Time from a message to its reply, by house and status.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5},
		}, []string{"house", "status"}),
		commits: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "tamis_commits_total", Help: "Changes written into a book, by house and the way they came."}, []string{"house", "how"}),
	}
	c.said = prometheus.NewHistogramVec(prometheus.HistogramOpts{
		Name: "tamis_channel_answer_seconds", Help: "Time from an event of the channel to the platform's receipt of the answer, by the way it was asked.",
		Buckets: []float64{.005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30},
	}, []string{"way"})
	c.events = prometheus.NewCounterVec(prometheus.CounterOpts{Name: "tamis_channel_events_total", Help: "What happened in the channel: dropped connections, rate limits, duplicates, late answers."}, []string{"what"})
	c.all.MustRegister(c.answers, c.commits, c.said, c.events, prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "tamis_channel_sessions", Help: "Sessions of the channel that are connected."},
		func() float64 {
			if c.channel == nil {
				return 0
			}
			ready, _ := c.channel()
			return float64(ready)
		}), collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return c
}

func (c *counters) asked(house, status string, took time.Duration) {
	c.answers.WithLabelValues(house, status).Observe(took.Seconds())
}

// Answered implements [discord.Counter].
func (c *counters) Answered(way string, took time.Duration) {
	c.said.WithLabelValues(way).Observe(took.Seconds())
}

// Count implements [discord.Counter].
func (c *counters) Count(what string) { c.events.WithLabelValues(what).Inc() }

func (c *counters) commit(house, how string) { c.commits.WithLabelValues(house, how).Inc() }

// watch has gauges read a house's book when they are asked for.
func (c *counters) watch(h *house) {
	for _, g := range []struct {
		name, help string
		value      func(s state) int
	}{
		{"tamis_book_revision", "Commits of the book.", func(s state) int { return s.Revision }},
		{"tamis_book_recipes", "Recipes that answer.", func(s state) int { return s.Recipes }},
		{"tamis_book_recipes_out", "Recipes that are out because of a fault.", func(s state) int { return s.Out }},
		{"tamis_book_faults", "Faults of the book.", func(s state) int { return s.Faults }},
	} {
		c.all.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: g.name, Help: g.help, ConstLabels: prometheus.Labels{"house": h.id}},
			func() float64 { return float64(g.value(h.state(context.Background()))) }))
	}
}

// state is how a house is.
type state struct {
	Revision int  `json:"revision"`
	Recipes  int  `json:"recipes"`
	Out      int  `json:"out"`
	Faults   int  `json:"faults"`
	Writable bool `json:"writable"`
}

func (h *house) state(ctx context.Context) state {
	s, err := h.Head(ctx)
	if err != nil {
		return state{}
	}
	out := state{Revision: s.Revision, Recipes: len(s.Recipes), Out: len(s.Out), Writable: h.kept != nil}
	for _, f := range s.Faults {
		if f.Level == recipe.LevelFault {
			out.Faults++
		}
	}
	return out
}

// listener serves health and metrics.
type listener struct {
	l   net.Listener
	s   *http.Server
	log *slog.Logger
}

// listen opens the address for health and metrics; they hold no words of a book
// or a message, but belong to the house: loopback unless it is said otherwise.
func listen(ctx context.Context, address string, houses []*house, c *counters, log *slog.Logger) (*listener, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("health and metrics on %s: %w; write another address into TAMIS_LISTEN", address, err)
	}
	if a, ok := l.Addr().(*net.TCPAddr); ok && !a.IP.IsLoopback() {
		log.Warn("health and metrics can be read from other machines", "address", l.Addr().String())
	}
	health := func(w http.ResponseWriter, r *http.Request) {
		out := struct {
			Status string           `json:"status"`
			Houses map[string]state `json:"houses"`
			// Channel is there where one is connected: sessions up and of how many.
			Channel *[2]int `json:"channel,omitempty"`
		}{Status: "ok", Houses: map[string]state{}}
		if c.channel != nil {
			ready, all := c.channel()
			if out.Channel = &[2]int{ready, all}; ready < all {
				out.Status = "connecting"
			}
		}
		for _, h := range houses {
			out.Houses[h.id] = h.state(r.Context())
		}
		w.Header().Set("Content-Type", "application/json")
		if err := json.NewEncoder(w).Encode(out); err != nil {
			log.Debug("who asked for the health has gone", "err", err)
		}
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /health", health)
	mux.HandleFunc("GET /healthz", health)
	mux.Handle("GET /metrics", promhttp.HandlerFor(c.all, promhttp.HandlerOpts{Registry: c.all}))
	return &listener{l: l, log: log, s: &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 30 * time.Second,
		IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10}}, nil
}

// Run answers until ctx ends.
func (l *listener) Run(ctx context.Context) error {
	ended := make(chan error, 1)
	go func() { ended <- l.s.Serve(l.l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("health and metrics: %w", err)
	case <-ctx.Done():
	}
	last, stop := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer stop()
	err := l.s.Shutdown(last)
	if serr := <-ended; !errors.Is(serr, http.ErrServerClosed) {
		err = errors.Join(err, serr)
	}
	return err
}
