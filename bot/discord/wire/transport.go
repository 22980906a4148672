package wire

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Errors of the REST side. Test with errors.Is.
var (
	// ErrToken: the platform refuses the token; nothing more is sent.
	ErrToken = errors.New("the token is refused")
	// ErrEdge: an answer that is not the API's own says that this machine is blocked for now.
	ErrEdge = errors.New("blocked at the platform's edge")
	// ErrInvalid: so many requests were refused that more would get this machine banned.
	ErrInvalid = errors.New("too many requests were refused; pausing so that the platform does not ban this machine")
)

// PublicAPI is the base of the public server.
const PublicAPI = "https://discord.com/api/v10"

// Limits are what a Transport keeps. The zero value is the platform's own.
type Limits struct {
	// PerSecond is the most requests a second over all routes; 0 is 45, less is no
	// limit but the one that 429s tell.
	PerSecond int
	// Attempt is how long one try may take; 0 is 10 s.
	Attempt time.Duration
	// Deadline is how long a request without a deadline may take with all its
	// tries; 0 is 30 s.
	Deadline time.Duration
	// Tries is how often a request that may be repeated is tried; 0 is 6.
	Tries int
	// MostInvalid is how many refused requests in 10 minutes stop all others; 0 is
	// 5000, half of what gets a machine banned.
	MostInvalid int
	// EdgePause is how long nothing is sent after an edge block; 0 is 5 minutes.
	EdgePause time.Duration
}

func orDuration(d, otherwise time.Duration) time.Duration {
	if d == 0 {
		return otherwise
	}
	return d
}

func (l Limits) filled() Limits {
	if l.PerSecond == 0 {
		l.PerSecond = 45
	}
	l.Attempt = orDuration(l.Attempt, 10*time.Second)
	l.Deadline = orDuration(l.Deadline, 30*time.Second)
	l.EdgePause = orDuration(l.EdgePause, 5*time.Minute)
	if l.Tries == 0 {
		l.Tries = 6
	}
	if l.MostInvalid == 0 {
		l.MostInvalid = 5000
	}
	return l
}

// Transport sends the client library's requests to the API base: it keeps the
// buckets that answers tell of, stops at a global 429 and at the ceiling of
// refused requests, and repeats what may be repeated. Waiting ends with the
// request's context. Several goroutines may use it.
type Transport struct {
	base *url.URL
	next http.RoundTripper
	l    Limits
	log  *slog.Logger
	// Limited is called at each 429, with its scope; nil: not.
	Limited func(scope string)

	mu      sync.Mutex
	names   map[string]string // route to the bucket's name as the platform gives it
	buckets map[string]*bucket
	until   time.Time // nothing is sent before
	why     error     // of until; nil: a global limit
	// against the global rate: requests on their way, and when the last were answered
	flying   int
	answered []time.Time
	invalid  []time.Time
	dead     bool
}

type bucket struct {
	left    int
	limit   int           // of a window; 0: not told
	window  time.Duration // the longest that was told
	known   bool
	reset   time.Time
	free    bool          // answers tell no limit
	probing chan struct{} // closed when the first answer has told the limit
	used    time.Time
}

// NewTransport returns a transport to an API base, "http://127.0.0.1:8080/api/v10".
func NewTransport(base string, l Limits, log *slog.Logger) (*Transport, error) {
	u, err := url.Parse(base)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("the API base %q is no address such as %s", base, PublicAPI)
	}
	u.Path = strings.TrimSuffix(u.Path, "/")
	next := http.DefaultTransport.(*http.Transport).Clone()
	next.MaxIdleConnsPerHost = 64
	return &Transport{base: u, next: next, l: l.filled(), log: log, names: map[string]string{}, buckets: map[string]*bucket{}}, nil
}

// CloseIdle gives idle connections back.
func (t *Transport) CloseIdle() {
	if c, ok := t.next.(*http.Transport); ok {
		c.CloseIdleConnections()
	}
}

type repeatKey struct{}

// Repeatable marks a request that does the same when it is sent twice: one with
// an enforced nonce, or the answer to an interaction.
func Repeatable(ctx context.Context) context.Context {
	return context.WithValue(ctx, repeatKey{}, true)
}

func repeatable(r *http.Request) bool {
	return r.Method != http.MethodPost || r.Context().Value(repeatKey{}) != nil
}

// mostReply is the most that is read of an answer, in bytes.
const mostReply = 16 << 20

// RoundTrip implements [http.RoundTripper].
func (t *Transport) RoundTrip(r *http.Request) (*http.Response, error) {
	ctx := r.Context()
	if _, ok := ctx.Deadline(); !ok {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, t.l.Deadline)
		defer cancel()
	}
	var body []byte
	if r.Body != nil {
		var err error
		if body, err = io.ReadAll(r.Body); err != nil {
			return nil, err
		}
		_ = r.Body.Close()
	}
	path := apiPath(r.URL.Path)
	route := routeOf(r.Method, path)
	var last error
	for try := 0; ; try++ {
		b, err := t.admit(ctx, route)
		if err != nil {
			return nil, errors.Join(last, err)
		}
		resp, data, err := t.once(ctx, r, path, body)
		wait, again := t.learn(route, b, resp, data, err)
		if err != nil {
			last = err
		} else {
			last = fmt.Errorf("HTTP %s", resp.Status)
		}
		limited := resp != nil && resp.StatusCode == http.StatusTooManyRequests
		if !again || try+1 >= t.l.Tries || !limited && !repeatable(r) {
			return resp, err
		}
		if !limited { // back off: 0.1, 0.2, 0.4 s …
			wait = time.Duration(float64(100*time.Millisecond<<min(try, 6)) * (0.75 + rand.Float64()/2))
		}
		if end, ok := ctx.Deadline(); ok && time.Until(end) < wait {
			return resp, err
		}
		if !sleep(ctx, wait) {
			return nil, errors.Join(last, ctx.Err())
		}
	}
}

// once sends a request once and reads the answer.
func (t *Transport) once(ctx context.Context, r *http.Request, path string, body []byte) (*http.Response, []byte, error) {
	ctx, cancel := context.WithTimeout(ctx, t.l.Attempt)
	defer cancel()
	out := r.Clone(ctx)
	u := *t.base
	u.Path, u.RawQuery = t.base.Path+path, r.URL.RawQuery
	out.URL, out.Host = &u, u.Host
	out.Body, out.GetBody, out.ContentLength = http.NoBody, nil, int64(len(body))
	if len(body) > 0 {
		out.Body = io.NopCloser(bytes.NewReader(body))
	}
	resp, err := t.next.RoundTrip(out)
	if err != nil {
		return nil, nil, err
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, mostReply))
	_ = resp.Body.Close() // all of it is read
	if err != nil {
		return nil, nil, err
	}
	resp.Body = io.NopCloser(bytes.NewReader(data))
	return resp, data, nil
}

// admit waits until a request may be sent.
func (t *Transport) admit(ctx context.Context, route route) (*bucket, error) {
	for {
		t.mu.Lock()
		if t.dead && !route.byToken {
			t.mu.Unlock()
			return nil, ErrToken
		}
		now := time.Now()
		wait, done := time.Duration(0), (chan struct{})(nil)
		b := t.bucketOf(route, now)
		switch {
		case now.Before(t.until) && t.why != nil:
			t.mu.Unlock()
			return nil, t.why
		case now.Before(t.until) && !route.byToken:
			wait = t.until.Sub(now)
		case !b.known && b.probing != nil:
			done = b.probing
		case b.known && b.left <= 0 && now.Before(b.reset):
			wait = b.reset.Sub(now)
		default:
			if wait = t.take(now, route); wait > 0 {
				break
			}
			if b.known && !now.Before(b.reset) { // a new window
				b.known, b.left, b.reset = b.limit > 0, b.limit, now.Add(b.window)
			}
			switch {
			case b.known:
				b.left--
			case !b.free:
				b.probing = make(chan struct{})
			}
			b.used = now
			t.mu.Unlock()
			return b, nil
		}
		t.mu.Unlock()
		if done != nil {
			select {
			case <-done:
				continue
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}
		if end, ok := ctx.Deadline(); ok && time.Until(end) < wait {
			return nil, fmt.Errorf("the rate limit lasts %v more: %w", wait.Round(time.Millisecond), context.DeadlineExceeded)
		}
		if !sleep(ctx, wait+time.Millisecond) {
			return nil, ctx.Err()
		}
	}
}

// take counts a request against the global rate, or says how long to wait. A
// request counts from when it is sent until a second after it was answered:
// whenever the platform counts it in between, no second of its clock has more.
func (t *Transport) take(now time.Time, route route) time.Duration {
	if t.l.PerSecond < 0 || route.byToken {
		return 0
	}
	old := 0
	for old < len(t.answered) && now.Sub(t.answered[old]) >= time.Second {
		old++
	}
	t.answered = t.answered[old:]
	switch {
	case t.flying+len(t.answered) < t.l.PerSecond:
		t.flying++
		return 0
	case len(t.answered) > 0:
		return time.Second - now.Sub(t.answered[0])
	default:
		return 10 * time.Millisecond // all of them are on their way
	}
}

// landed is the end of what take let go.
func (t *Transport) landed(now time.Time, route route) {
	if t.l.PerSecond < 0 || route.byToken {
		return
	}
	t.flying--
	t.answered = append(t.answered, now)
}

// bucketOf finds the bucket of a route, by the name that the platform gave it.
func (t *Transport) bucketOf(r route, now time.Time) *bucket {
	key := r.key()
	if name := t.names[r.pattern]; name != "" {
		key = name + " " + r.major
	}
	b := t.buckets[key]
	if b == nil {
		if len(t.buckets) > 4096 {
			for k, old := range t.buckets {
				if old.probing == nil && now.After(old.reset) && now.Sub(old.used) > time.Minute {
					delete(t.buckets, k)
				}
			}
		}
		b = &bucket{used: now}
		t.buckets[key] = b
	}
	return b
}

// learn takes what an answer tells, and says whether to try again, and after
// what wait.
func (t *Transport) learn(r route, b *bucket, resp *http.Response, data []byte, err error) (wait time.Duration, again bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.landed(time.Now(), r)
	if b.probing != nil {
		defer func(c chan struct{}) { b.probing = nil; close(c) }(b.probing)
	}
	if err != nil {
		return 0, true
	}
	now, h := time.Now(), resp.Header
	if name := h.Get("X-RateLimit-Bucket"); name != "" && !r.byToken {
		if len(t.names) > 1024 {
			clear(t.names)
		}
		t.names[r.pattern] = name
		t.buckets[name+" "+r.major] = b
	}
	if left, err := strconv.Atoi(h.Get("X-RateLimit-Remaining")); err == nil {
		if after, err := strconv.ParseFloat(h.Get("X-RateLimit-Reset-After"), 64); err == nil {
			reset := now.Add(time.Duration(after * float64(time.Second)))
			if !b.known || reset.After(b.reset.Add(100*time.Millisecond)) {
				b.left = left
			} else {
				b.left = min(b.left, left)
			}
			b.known, b.reset, b.window = true, reset, max(b.window, reset.Sub(now))
			if n, err := strconv.Atoi(h.Get("X-RateLimit-Limit")); err == nil {
				b.limit = n
			}
		}
	}
	b.free = !b.known
	switch code := resp.StatusCode; {
	case code == http.StatusTooManyRequests:
		return t.limited(b, h, data, now), true
	case code == http.StatusUnauthorized && !r.byToken:
		if !t.dead {
			t.log.Error("the platform refuses the token; nothing more is sent")
		}
		t.dead = true
		t.refused(now)
	case code == http.StatusUnauthorized, code == http.StatusForbidden:
		t.refused(now)
	case code >= 500:
		return 0, true
	}
	return 0, false
}

// limited takes a 429.
func (t *Transport) limited(b *bucket, h http.Header, data []byte, now time.Time) time.Duration {
	scope := h.Get("X-RateLimit-Scope")
	if t.Limited != nil {
		t.Limited(scope)
	}
	if scope != "shared" {
		t.refused(now)
	}
	var body struct {
		RetryAfter *float64 `json:"retry_after"`
		Global     bool     `json:"global"`
	}
	if json.Unmarshal(data, &body) != nil || body.RetryAfter == nil {
		pause := t.l.EdgePause
		if s, err := strconv.ParseFloat(h.Get("Retry-After"), 64); err == nil && s > pause.Seconds() {
			pause = time.Duration(s * float64(time.Second))
		}
		t.until, t.why = now.Add(pause), ErrEdge
		t.log.Error("a 429 that is not the API's own: this machine is blocked at the edge", "pause", pause)
		return pause
	}
	wait := time.Duration(*body.RetryAfter*float64(time.Second)) + 5*time.Millisecond
	if s, err := strconv.ParseFloat(h.Get("Retry-After"), 64); err == nil {
		wait = max(wait, time.Duration(s*float64(time.Second)))
	}
	if body.Global || h.Get("X-RateLimit-Global") != "" || scope == "global" {
		if until := now.Add(wait); until.After(t.until) {
			t.until, t.why = until, nil
		}
		t.log.Warn("the global rate limit is reached", "wait", wait)
		return wait
	}
	b.known, b.free, b.left, b.reset = true, false, 0, now.Add(wait)
	return wait
}

// refused counts a request that the platform counts as invalid.
func (t *Transport) refused(now time.Time) {
	for len(t.invalid) > 0 && now.Sub(t.invalid[0]) > 10*time.Minute {
		t.invalid = t.invalid[1:]
	}
	t.invalid = append(t.invalid, now)
	if len(t.invalid) >= t.l.MostInvalid {
		t.until, t.why = t.invalid[0].Add(10*time.Minute), ErrInvalid
		t.log.Error("too many requests were refused; nothing is sent for a while", "refused", len(t.invalid), "pause", t.until.Sub(now).Round(time.Second))
	}
}

// Dead reports whether the token has been refused.
func (t *Transport) Dead() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.dead
}

func sleep(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}

// route is what a bucket is of.
type route struct {
	pattern string // method and path with ids left out
	major   string // the id that parts buckets: channel, guild, webhook with token
	byToken bool   // an interaction's or webhook's: opened by the token in the path
}

func (r route) key() string { return r.pattern + " " + r.major }

var version = regexp.MustCompile(`^/api(/v\d+)?`)

// apiPath is the path behind the version.
func apiPath(p string) string { return version.ReplaceAllString(p, "") }

func isID(s string) bool {
	if len(s) < 15 || len(s) > 20 {
		return false
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

func routeOf(method, path string) route {
	parts := strings.Split(strings.Trim(path, "/"), "/")
	r := route{}
	if len(parts) > 1 {
		switch parts[0] {
		case "channels", "guilds":
			r.major = parts[1]
			parts[1] = ":id"
		case "webhooks", "interactions":
			r.byToken = len(parts) > 2
			r.major = parts[1]
			parts[1] = ":id"
			if r.byToken {
				r.major += "/" + parts[2]
				parts[2] = ":token"
			}
		}
	}
	for i, p := range parts {
		if isID(p) {
			parts[i] = ":id"
		}
	}
	r.pattern = method + " /" + strings.Join(parts, "/")
	return r
}
