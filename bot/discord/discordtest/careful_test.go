package discordtest

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// careful is a small bot that answers each question once whatever happens: it
// resumes, catches up over REST, enforces a nonce and keeps in a file how far
// it has come. It shows that Chaos can be passed.
type careful struct {
	h       House
	client  *http.Client
	done    map[string]bool
	last    map[string]string // by channel
	file    *os.File
	session string
	seq     int64
}

func runCareful(ctx context.Context, h House) error {
	b := &careful{h: h, client: &http.Client{Timeout: 5 * time.Second}, done: map[string]bool{}, last: map[string]string{}}
	path := filepath.Join(h.Dir, "done")
	if data, err := os.ReadFile(path); err == nil {
		for line := range strings.Lines(string(data)) {
			if c, id, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
				b.done[id] = true
				if len(id) > 0 && id > b.last[c] {
					b.last[c] = id
				}
			}
		}
	}
	var err error
	if b.file, err = os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600); err != nil {
		return err
	}
	defer b.file.Close()
	for ctx.Err() == nil {
		b.connection(ctx)
		time.Sleep(10 * time.Millisecond)
	}
	return nil
}

func (b *careful) connection(ctx context.Context) {
	w, err := dial(b.h.Server, "v=10&encoding=json")
	if err != nil {
		return
	}
	defer w.ws.Close()
	stop := context.AfterFunc(ctx, func() { _ = w.ws.Close() })
	defer stop()
	var mu sync.Mutex
	say := func(op int, d any) {
		mu.Lock()
		defer mu.Unlock()
		_ = w.send(op, d)
	}
	w.seq, w.session = b.seq, b.session
	defer func() { b.seq, b.session = w.seq, w.session }()
	for {
		_ = w.ws.SetReadDeadline(time.Now().Add(time.Minute))
		f, err := w.readLong()
		if err != nil || ctx.Err() != nil {
			return
		}
		switch f.Op {
		case opHello:
			if w.session != "" {
				say(opResume, map[string]any{"token": b.h.Token, "session_id": w.session, "seq": w.seq})
			} else {
				say(opIdentify, identity(b.h.Server))
			}
			say(opHeartbeat, nil)
		case opHeartbeat:
			say(opHeartbeat, w.seq)
		case opReconnect:
			return
		case opInvalid:
			if string(f.D) == "false" {
				w.session, w.seq = "", 0
			}
			return
		case opDispatch:
			switch f.T {
			case "READY", "RESUMED":
				b.catchUp(ctx)
			case "MESSAGE_CREATE":
				b.message(ctx, f.data())
			}
		}
	}
}

func (w *wire) readLong() (frame, error) {
	_, data, err := w.ws.ReadMessage()
	var f frame
	if err == nil {
		err = json.Unmarshal(data, &f)
		w.note(f)
	}
	return f, err
}

func (b *careful) catchUp(ctx context.Context) {
	for _, c := range b.h.Channels {
		after := b.last[c.ID]
		if after == "" {
			after = "0"
		}
		for {
			var page []map[string]any
			if !b.call(ctx, "GET", "/channels/"+c.ID+"/messages?limit=100&after="+after, nil, &page) {
				return
			}
			for i := len(page) - 1; i >= 0; i-- {
				b.message(ctx, page[i])
				after = str(page[i]["id"])
			}
			if len(page) < 100 {
				break
			}
		}
	}
}

func (b *careful) message(ctx context.Context, m map[string]any) {
	id, c := str(m["id"]), str(m["channel_id"])
	if b.done[id] || obj(m["author"])["bot"] == true || !strings.Contains(str(m["content"]), b.h.Server.Mention()) {
		return
	}
	if b.call(ctx, "POST", "/channels/"+c+"/messages", map[string]any{"content": "answer", "nonce": id, "enforce_nonce": true,
		"message_reference": map[string]any{"message_id": id}, "allowed_mentions": map[string]any{"parse": []any{}}}, nil) {
		b.done[id] = true
		if id > b.last[c] {
			b.last[c] = id
		}
		fmt.Fprintf(b.file, "%s %s\n", c, id)
	}
}

func (b *careful) call(ctx context.Context, method, path string, body, into any) bool {
	var data []byte
	if body != nil {
		data = encode(body)
	}
	for try := range 20 {
		if ctx.Err() != nil {
			return false
		}
		req, err := http.NewRequestWithContext(ctx, method, b.h.API+path, bytes.NewReader(data))
		if err != nil {
			return false
		}
		req.Header.Set("User-Agent", "DiscordBot (https://example.org, 1)")
		req.Header.Set("Authorization", "Bot "+b.h.Token)
		req.Header.Set("Content-Type", "application/json")
		resp, err := b.client.Do(req)
		if err != nil {
			time.Sleep(time.Duration(try*10) * time.Millisecond)
			continue
		}
		reply, _ := io.ReadAll(resp.Body)
		_ = resp.Body.Close()
		switch {
		case resp.StatusCode == 429:
			var r struct {
				RetryAfter float64 `json:"retry_after"`
			}
			_ = json.Unmarshal(reply, &r)
			time.Sleep(time.Duration(r.RetryAfter*float64(time.Second)) + 20*time.Millisecond)
		case resp.StatusCode >= 500:
			time.Sleep(time.Duration(try*10) * time.Millisecond)
		case resp.StatusCode >= 300:
			return false
		default:
			if into != nil {
				return json.Unmarshal(reply, into) == nil
			}
			return true
		}
	}
	return false
}
