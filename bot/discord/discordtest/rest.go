package discordtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// File is a file of a message.
type File struct {
	Name, ContentType string
	Data              []byte
	ID, URL           string // once it is attached
	part              string
}

// Request is a request of the bot as the server saw it.
type Request struct {
	Method, Path string
	Route        string // "METHOD /path/{of}/the/specification"; "" where none fits
	Query        url.Values
	Header       http.Header
	Body         map[string]any // an object's body, decoded; numbers are json.Number
	Raw          []byte         // the JSON of the body
	Files        []File
	At           time.Time
	Took         time.Duration
	Status       int // 0 where the connection was cut
	params       map[string]string
	list         []any
	web          bool // opened by the token in the path
	bad          error
}

// answer is what a handler gives back.
type answer struct {
	status int
	body   any
	wait   func() // to be waited for before the answer is sent
}

type bucket struct {
	used  int
	reset time.Time
}

// block is a 429 that has been answered: until then nothing may be sent.
type block struct{ since, until time.Time }

func fail(status, code int, format string, args ...any) answer {
	return answer{status: status, body: map[string]any{"code": code, "message": fmt.Sprintf(format, args...)}}
}

// invalidForm is error 50035 with the tree of errors that it carries.
func invalidForm(err error) answer {
	return answer{status: 400, body: map[string]any{"code": 50035, "message": "Invalid Form Body",
		"errors": map[string]any{"_errors": []any{map[string]any{"code": 50035, "message": err.Error()}}}}}
}

var apiPrefix = regexp.MustCompile(`^/api/v(\d+)(/.*)$`)

func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path == "/gateway" || r.URL.Path == "/gateway/" {
		s.serveGateway(w, r)
		return
	}
	if strings.HasPrefix(r.URL.Path, "/attachments/") {
		s.serveFile(w, r)
		return
	}
	m := apiPrefix.FindStringSubmatch(r.URL.Path)
	if m == nil || m[1] != "9" && m[1] != "10" {
		s.mu.Lock()
		s.violate("%s %s: no such API", r.Method, r.URL.Path)
		s.mu.Unlock()
		http.NotFound(w, r)
		return
	}
	req := &Request{Method: r.Method, Path: m[2], Query: r.URL.Query(), Header: r.Header, At: time.Now()}
	bodyErr := req.read(r)
	t, params, known := s.spec.match(r.Method, m[2])
	if known {
		req.Route, req.params = r.Method+" "+t.path, params
	}
	s.mu.Lock()
	f := s.faultFor(req.Route, params["channel_id"])
	s.mu.Unlock()
	if f != nil && f.Delay > 0 {
		time.Sleep(f.Delay)
	}
	a := answer{}
	head := w.Header()
	if known && bodyErr == nil && !s.o.Unchecked { // outside the lock: it takes its time
		req.bad = s.spec.checkRequest(t, r.Method, req.Raw)
	}
	faulted := f != nil && (f.Status != 0 || f.Reset)
	if !faulted || f.After {
		a = s.act(req, t, known, bodyErr, head)
		if a.wait != nil {
			a.wait()
		}
	}
	var body []byte
	if a.body != nil {
		body = encode(a.body)
	}
	if faulted {
		if f.Reset {
			s.record(req, 0, false)
			cut(w)
			return
		}
		var html bool
		a, html = s.failAs(f, req, head)
		if body = encode(a.body); html {
			body = []byte("<html><body><h1>error</h1></body></html>")
			head.Set("Content-Type", "text/html")
		}
		for k, v := range f.Header {
			if head.Del(k); v != "" {
				head.Set(k, v)
			}
		}
		if f.Raw != "" {
			body = []byte(f.Raw)
		}
	} else if known && !s.o.Unchecked {
		if err := s.spec.checkReply(t, r.Method, a.status, body); err != nil {
			s.mu.Lock()
			s.ownFault("%s %d: %v: %.300s", req.Route, a.status, err, body)
			s.mu.Unlock()
		}
	}
	s.record(req, a.status, head.Get("X-RateLimit-Scope") == "shared")
	if len(body) > 0 && head.Get("Content-Type") == "" {
		head.Set("Content-Type", "application/json")
	}
	if f != nil && f.Cut {
		body = body[:len(body)/2]
	}
	w.WriteHeader(a.status)
	if f != nil && f.Drip > 0 {
		drip(w, r, body, f.Drip)
		return
	}
	_, _ = w.Write(body)
}

// drip writes a body byte by byte, as long as somebody reads.
func drip(w http.ResponseWriter, r *http.Request, body []byte, every time.Duration) {
	for i := range body {
		select {
		case <-r.Context().Done():
			return
		case <-time.After(every):
		}
		if _, err := w.Write(body[i : i+1]); err != nil {
			return
		}
		_ = http.NewResponseController(w).Flush()
	}
}

// act does what the request asks, after all that may forbid it.
func (s *Server) act(req *Request, t *template, known bool, bodyErr error, head http.Header) answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.counts.Requests++
	req.web = strings.HasPrefix(req.Path, "/webhooks/") || strings.HasPrefix(req.Path, "/interactions/")
	if ua := req.Header.Get("User-Agent"); !userAgent.MatchString(ua) {
		s.violate("%s %s: User-Agent %q is not of the form DiscordBot (url, version)", req.Method, req.Path, ua)
	}
	if !known {
		if t != nil {
			s.violate("%s %s: the path knows no such method", req.Method, req.Path)
			return fail(405, 0, "405: Method Not Allowed")
		}
		s.violate("%s %s: the specification has no such path", req.Method, req.Path)
		return fail(404, 0, "404: Not Found")
	}
	if auth := req.Header.Get("Authorization"); !req.web && req.Route != "GET /gateway" && (s.token == "" || auth != "Bot "+s.token) {
		if s.token == "" {
			if s.deadHits++; s.deadHits > 20 {
				s.violate("%s: request number %d with a token that was refused", req.Route, s.deadHits)
			}
		}
		return fail(401, 0, "401: Unauthorized")
	}
	if a, stopped := s.limit(req, head); stopped {
		return a
	}
	if bodyErr != nil {
		s.violate("%s: %v", req.Route, bodyErr)
		return invalidForm(bodyErr)
	}
	if req.bad != nil {
		s.violate("%s: %v: %.300s", req.Route, req.bad, req.Raw)
		return invalidForm(req.bad)
	}
	h := handlers[req.Route]
	if h == nil {
		s.ownFault("%s is not built into the test server", req.Route)
		return fail(404, 0, "404: Not Found")
	}
	return h(s, req)
}

// userAgent: reference, User Agent.
var userAgent = regexp.MustCompile(`^DiscordBot \(.+, ?.+\)`)

// limit counts the request against its bucket and the global limit and writes
// the headers (topics/rate-limits). Interaction endpoints don't count globally.
func (s *Server) limit(req *Request, head http.Header) (answer, bool) {
	now := s.now()
	key := s.bucketKey(req)
	for _, k := range []string{key, "global"} {
		if b, ok := s.blocked[k]; ok && (k != "global" || !req.web) {
			if time.Since(b.since) > 200*time.Millisecond && now.Before(b.until.Add(-20*time.Millisecond)) {
				s.violate("%s: sent %v before the end of Retry-After", req.Route, b.until.Sub(now).Round(time.Millisecond))
			}
			if now.Before(b.until) {
				return s.tooMany(head, key, b.until.Sub(now), map[bool]string{true: "global", false: "user"}[k == "global"]), true
			}
			delete(s.blocked, k)
		}
	}
	if !req.web && s.o.GlobalRate > 0 {
		if now.After(s.global.reset) {
			s.global = bucket{reset: now.Add(time.Second)}
		}
		if s.global.used++; s.global.used > s.o.GlobalRate {
			return s.tooMany(head, "global", s.global.reset.Sub(now), "global"), true
		}
	}
	b := s.buckets[key]
	if b == nil {
		if len(s.buckets) > 5000 {
			clear(s.buckets)
		}
		b = &bucket{}
		s.buckets[key] = b
	}
	if now.After(b.reset) {
		*b = bucket{reset: now.Add(s.o.Rate.Per)}
	}
	b.used++
	head.Set("X-RateLimit-Limit", strconv.Itoa(s.o.Rate.Requests))
	head.Set("X-RateLimit-Remaining", strconv.Itoa(max(0, s.o.Rate.Requests-b.used)))
	head.Set("X-RateLimit-Reset", seconds(time.Duration(b.reset.UnixNano())))
	head.Set("X-RateLimit-Reset-After", seconds(b.reset.Sub(now)))
	head.Set("X-RateLimit-Bucket", bucketName(req.Route))
	if b.used > s.o.Rate.Requests {
		return s.tooMany(head, key, b.reset.Sub(now), "user"), true
	}
	return answer{}, false
}

// tooMany is a 429 (topics/rate-limits); a global one has no Reset-After.
func (s *Server) tooMany(head http.Header, key string, after time.Duration, scope string) answer {
	s.counts.RateLimited++
	if after < 0 {
		after = 0
	}
	// whole seconds in the header, rounded up; the fraction in the body
	head.Set("Retry-After", strconv.Itoa(int((after+time.Second-1)/time.Second)))
	head.Set("X-RateLimit-Scope", scope)
	if scope == "global" {
		head.Set("X-RateLimit-Global", "true")
		for _, k := range []string{"Limit", "Remaining", "Reset", "Reset-After", "Bucket"} {
			head.Del("X-RateLimit-" + k)
		}
		key = "global"
	}
	if b, ok := s.blocked[key]; !ok || s.now().After(b.until) {
		s.blocked[key] = block{time.Now(), s.now().Add(after)}
	}
	return answer{status: 429, body: map[string]any{"message": "You are being rate limited.", "retry_after": float64(after.Milliseconds()) / 1000,
		"global": scope == "global", "code": 0}}
}

func (s *Server) failAs(f *Fault, req *Request, head http.Header) (answer, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Status == 429 && !f.HTML {
		scope := f.Scope
		if scope == "" {
			scope = "user"
		}
		if scope != "global" {
			head.Set("X-RateLimit-Limit", strconv.Itoa(s.o.Rate.Requests))
			head.Set("X-RateLimit-Remaining", "0")
			head.Set("X-RateLimit-Reset", seconds(time.Duration(s.now().Add(f.RetryAfter).UnixNano())))
			head.Set("X-RateLimit-Reset-After", seconds(f.RetryAfter))
			head.Set("X-RateLimit-Bucket", bucketName(req.Route))
		}
		return s.tooMany(head, s.bucketKey(req), f.RetryAfter, scope), false
	}
	if f.Status == 429 && f.RetryAfter > 0 {
		head.Set("Retry-After", strconv.Itoa(int((f.RetryAfter+time.Second-1)/time.Second)))
	}
	return fail(f.Status, f.Code, "%d: as the test asked", f.Status), f.HTML
}

func seconds(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', 3, 64) }

func bucketName(route string) string {
	var h uint64 = 14695981039346656037
	for _, c := range []byte(route) {
		h = (h ^ uint64(c)) * 1099511628211
	}
	return fmt.Sprintf("%016x", h)
}

// bucketKey: the bucket's name plus the top-level id.
func (s *Server) bucketKey(req *Request) string {
	key := bucketName(req.Route)
	for _, k := range []string{"channel_id", "guild_id", "webhook_id", "webhook_token", "interaction_token"} {
		if id := req.params[k]; id != "" {
			key += " " + id
		}
	}
	return key
}

// record keeps the request and counts what the platform bans for.
func (s *Server) record(req *Request, status int, shared bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	req.Status, req.Took = status, time.Since(req.At)
	if status == 401 || status == 403 || status == 429 && !shared {
		s.invalid++
		if s.invalid == 10000 {
			s.violate("10,000 invalid requests: the platform has banned the address")
		}
	}
	s.requests = append(s.requests, *req)
	if over := len(s.requests) - s.o.KeepRequests; over > s.o.KeepRequests/4 {
		s.requests = append([]Request(nil), s.requests[over:]...)
	}
	s.notify()
}

// Requests are the bot's requests of a route, "" for all, in order of their end.
func (s *Server) Requests(route string) []Request {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Request
	for _, r := range s.requests {
		if route == "" || r.Route == route {
			out = append(out, r)
		}
	}
	return out
}

// cut resets the connection of a request.
func cut(w http.ResponseWriter) {
	h, ok := w.(http.Hijacker)
	if !ok {
		return
	}
	c, _, err := h.Hijack()
	if err != nil {
		return
	}
	if tcp, ok := c.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0)
	}
	_ = c.Close()
}

// read takes the body in: JSON, or a form with payload_json and files.
func (req *Request) read(r *http.Request) error {
	data, err := io.ReadAll(io.LimitReader(r.Body, maxWhole+1<<20))
	if err != nil {
		return fmt.Errorf("the body breaks off: %w", err)
	}
	if len(data) > maxWhole {
		return fmt.Errorf("a body of more than %d bytes", maxWhole)
	}
	if len(data) == 0 {
		return nil
	}
	kind, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return fmt.Errorf("Content-Type %q: %w", r.Header.Get("Content-Type"), err)
	}
	switch kind {
	case "application/json":
		req.Raw = data
	case "multipart/form-data":
		mr := multipart.NewReader(bytes.NewReader(data), params["boundary"])
		for {
			p, err := mr.NextRawPart()
			if err == io.EOF {
				break
			}
			if err != nil {
				return fmt.Errorf("the form does not decode: %w", err)
			}
			content, err := io.ReadAll(p)
			if err != nil {
				return fmt.Errorf("the form breaks off: %w", err)
			}
			if p.FormName() == "payload_json" {
				if req.Raw != nil {
					return fmt.Errorf("payload_json twice in one form")
				}
				req.Raw = content
				continue
			}
			req.Files = append(req.Files, File{part: p.FormName(), Name: p.FileName(), ContentType: p.Header.Get("Content-Type"), Data: content})
		}
		if req.Raw == nil {
			return fmt.Errorf("the form has no payload_json")
		}
	default:
		return fmt.Errorf("a body of type %q", kind)
	}
	dec := json.NewDecoder(bytes.NewReader(req.Raw))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return fmt.Errorf("the body is not JSON: %w", err)
	}
	if dec.More() {
		return fmt.Errorf("something stands after the JSON")
	}
	req.Body, req.list = obj(v), list(v)
	return nil
}

// serveFile is the place that attachments are loaded from; links expire after a day.
func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	parts := strings.Split(strings.TrimPrefix(r.URL.Path, "/attachments/"), "/")
	req := &Request{Method: r.Method, Path: r.URL.Path, Route: "GET /attachments", Header: r.Header, At: time.Now()}
	s.mu.Lock()
	fault := s.faultFor(req.Route, "")
	var f File
	ok := false
	if len(parts) == 3 {
		f, ok = s.files[parts[1]]
	}
	expires, err := strconv.ParseInt(r.URL.Query().Get("ex"), 16, 64)
	ok = ok && err == nil && s.now().Unix() < expires && r.Method == http.MethodGet
	if r.Header.Get("Authorization") != "" {
		s.violate("the token was sent to the place of attachments")
	}
	s.mu.Unlock()
	if fault != nil {
		time.Sleep(fault.Delay)
		if fault.Reset {
			s.record(req, 0, false)
			cut(w)
			return
		}
		if fault.Status != 0 {
			s.record(req, fault.Status, false)
			for k, v := range fault.Header {
				w.Header().Set(k, v)
			}
			w.WriteHeader(fault.Status)
			_, _ = w.Write([]byte(fault.Raw))
			return
		}
		if fault.Drip > 0 && ok {
			s.record(req, 200, false)
			drip(w, r, f.Data, fault.Drip)
			return
		}
	}
	if !ok {
		s.record(req, 404, false)
		http.NotFound(w, r)
		return
	}
	s.record(req, 200, false)
	w.Header().Set("Content-Type", f.ContentType)
	w.Header().Set("Content-Length", strconv.Itoa(len(f.Data)))
	_, _ = w.Write(f.Data)
}
