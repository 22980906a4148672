package phrase

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	openai "github.com/sashabaranov/go-openai"

	"tamis/bot/reply"
	"tamis/prompts"
)

// Further reasons, of a model that gives no draft.
const (
	ReasonTimeout Reason = "timeout"
	ReasonModel   Reason = "model"  // it failed or gave nothing
	ReasonBudget  Reason = "budget" // of the minute or the day
	ReasonBusy    Reason = "busy"   // too many at once
	ReasonOpen    Reason = "paused" // it failed too often just now
	ReasonKind    Reason = "kind"   // this kind of reply is never worded anew
)

// Settings of a model. The zero value of a limit is its default.
type Settings struct {
	URL     string // of an OpenAI-compatible endpoint
	Model   string
	Key     string // never logged
	Timeout time.Duration
	Tone    string

	PerMinute, PerDay, AtOnce int
	Now                       func() time.Time // for budgets and pauses; nil: time stands still
	Log                       *slog.Logger
}

// Defaults.
const (
	DefaultTimeout   = 2 * time.Second
	defaultPerMinute = 60
	defaultPerDay    = 5000
	defaultAtOnce    = 4
	failuresToPause  = 5
	pauseFor         = 30 * time.Second
	mostAnswer       = 64 << 10
	mostTokens       = 220
)

// Model asks a language model for wordings. It is safe for use at once.
type Model struct {
	s      Settings
	client *openai.Client
	slots  chan struct{}

	mu        sync.Mutex
	fails     int
	closed    time.Time // paused until then
	minute    time.Time
	inMinute  int
	day       string
	inDay     int
	keptBack  map[Reason]int
	usedCount int
}

// New returns a model, or nil where no endpoint is set.
func New(s Settings) *Model {
	if s.URL == "" {
		return nil
	}
	if s.Timeout <= 0 {
		s.Timeout = DefaultTimeout
	}
	for _, d := range []struct {
		have *int
		def  int
	}{{&s.PerMinute, defaultPerMinute}, {&s.PerDay, defaultPerDay}, {&s.AtOnce, defaultAtOnce}} {
		if *d.have <= 0 {
			*d.have = d.def
		}
	}
	if s.Now == nil {
		s.Now = func() time.Time { return time.Time{} }
	}
	if s.Log == nil {
		s.Log = slog.New(slog.DiscardHandler)
	}
	c := openai.DefaultConfig(s.Key)
	c.BaseURL = strings.TrimRight(s.URL, "/")
	c.HTTPClient = &http.Client{
		Transport: limited{http.DefaultTransport.(*http.Transport).Clone()},
		// the question goes where the house said, nowhere else
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	return &Model{s: s, client: openai.NewClientWithConfig(c), slots: make(chan struct{}, s.AtOnce), keptBack: map[Reason]int{}}
}

// Request is one reply to be worded.
type Request struct {
	Question string // what somebody wrote
	Language string
	Template *reply.Template
	Names    Names
}

// Phrase returns a checked wording, or why there is none. It takes no longer
// than the timeout; ctx may end it sooner.
func (m *Model) Phrase(ctx context.Context, r Request) (Phrased, Reason) {
	p, reason := m.phrase(ctx, r)
	m.mu.Lock()
	if reason == ReasonNone {
		m.usedCount++
	} else {
		m.keptBack[reason]++
	}
	m.mu.Unlock()
	return p, reason
}

// Counts returns how many wordings were used and kept back, by reason.
func (m *Model) Counts() (used int, keptBack map[Reason]int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := make(map[Reason]int, len(m.keptBack))
	for k, n := range m.keptBack {
		out[k] = n
	}
	return m.usedCount, out
}

func (m *Model) phrase(ctx context.Context, r Request) (Phrased, Reason) {
	if r.Template == nil {
		return Phrased{}, ReasonKind
	}
	select {
	case m.slots <- struct{}{}:
		defer func() { <-m.slots }()
	default:
		return Phrased{}, ReasonBusy
	}
	if reason := m.admit(); reason != ReasonNone {
		return Phrased{}, reason
	}
	asked := ctx
	ctx, stop := context.WithTimeout(ctx, m.s.Timeout)
	defer stop()
	d, err := m.draft(ctx, r)
	if asked.Err() == nil { // who asked gave up: that says nothing of the model
		m.settle(err)
	}
	if err != nil {
		if ctx.Err() != nil || errors.Is(err, context.DeadlineExceeded) {
			return Phrased{}, ReasonTimeout
		}
		m.s.Log.Debug("the model gave no wording", "err", m.hush(err))
		return Phrased{}, ReasonModel
	}
	p, err := Verify(r.Template, d, r.Names)
	var no *Rejected
	if errors.As(err, &no) {
		return Phrased{}, no.Reason
	}
	return p, ReasonNone
}

// admit looks at the budget and the pause.
func (m *Model) admit() Reason {
	m.mu.Lock()
	defer m.mu.Unlock()
	now := m.s.Now()
	if now.Before(m.closed) {
		return ReasonOpen
	}
	if start := now.Truncate(time.Minute); !start.Equal(m.minute) {
		m.minute, m.inMinute = start, 0
	}
	if day := now.UTC().Format(time.DateOnly); day != m.day {
		m.day, m.inDay = day, 0
	}
	if m.inMinute >= m.s.PerMinute || m.inDay >= m.s.PerDay {
		return ReasonBudget
	}
	m.inMinute++
	m.inDay++
	return ReasonNone
}

// settle notes how a request ended: several failures in a row pause the model.
func (m *Model) settle(err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err == nil {
		m.fails = 0
		return
	}
	if m.fails++; m.fails >= failuresToPause {
		// the next one after the pause is a trial: it fails once and waits again
		m.fails, m.closed = failuresToPause-1, m.s.Now().Add(pauseFor)
	}
}

// hush is an error without the key.
func (m *Model) hush(err error) string {
	if m.s.Key == "" {
		return err.Error()
	}
	return strings.ReplaceAll(err.Error(), m.s.Key, "…")
}

// draft asks the model, once more where that may help and there is time.
func (m *Model) draft(ctx context.Context, r Request) (Draft, error) {
	p := prompts.Phrase{Language: r.Language, Tone: m.s.Tone, Question: r.Question, Template: r.Template.Text()}
	for i, s := range r.Template.Slots {
		p.Slots = append(p.Slots, prompts.Slot{N: i + 1, Means: s.Means})
	}
	talk, err := prompts.Render(p)
	if err != nil {
		return "", err
	}
	req := openai.ChatCompletionRequest{
		Model: m.s.Model, Temperature: 0.4, MaxCompletionTokens: mostTokens, N: 1,
		Messages: []openai.ChatCompletionMessage{
			{Role: openai.ChatMessageRoleSystem, Content: talk.System},
			{Role: openai.ChatMessageRoleUser, Content: talk.User},
			{Role: openai.ChatMessageRoleAssistant, Content: talk.Ready},
			{Role: openai.ChatMessageRoleUser, Content: talk.Template},
		},
	}
	for try := 0; ; try++ {
		var wait time.Duration
		out, err := m.client.CreateChatCompletion(context.WithValue(ctx, waitKey{}, &wait), req)
		if err == nil {
			if len(out.Choices) == 0 {
				return "", errors.New("no choice in the answer")
			}
			if c := out.Choices[0]; c.FinishReason == openai.FinishReasonLength || c.FinishReason == openai.FinishReasonContentFilter {
				return "", fmt.Errorf("the model stopped halfway: %s", c.FinishReason)
			}
			return Draft(out.Choices[0].Message.Content), nil
		}
		if try > 0 || !worthAnother(err) || ctx.Err() != nil {
			return "", fmt.Errorf("the model: %w", err)
		}
		if wait <= 0 {
			wait = 100 * time.Millisecond
		}
		pause, stop := context.WithTimeout(ctx, wait)
		end, limited := ctx.Deadline()
		if until, _ := pause.Deadline(); limited && !until.Before(end) || m.admit() != ReasonNone {
			stop() // no time left after the wait, or no budget
			return "", fmt.Errorf("the model: %w", err)
		}
		<-pause.Done()
		stop()
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
	}
}

// worthAnother reports whether the same request may do better in a moment.
func worthAnother(err error) bool {
	status := 0
	var api *openai.APIError
	var req *openai.RequestError
	switch {
	case errors.As(err, &api):
		status = api.HTTPStatusCode
	case errors.As(err, &req):
		status = req.HTTPStatusCode
	}
	return status == http.StatusTooManyRequests || status == http.StatusRequestTimeout || status >= 500
}

type waitKey struct{}

// limited reads no more of an answer than a wording can need, and notes how long
// the server asks to wait.
type limited struct{ http.RoundTripper }

func (l limited) RoundTrip(r *http.Request) (*http.Response, error) {
	res, err := l.RoundTripper.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	if wait, ok := r.Context().Value(waitKey{}).(*time.Duration); ok {
		if s, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil && s >= 0 {
			*wait = time.Duration(s) * time.Second
		}
	}
	res.Body = struct {
		io.Reader
		io.Closer
	}{io.LimitReader(res.Body, mostAnswer), res.Body}
	return res, nil
}
