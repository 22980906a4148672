package discordtest

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// wire speaks the gateway by hand, for what no client library would do.
type wire struct {
	ws      *websocket.Conn
	session string
	seq     int64
	frames  int
	pipe    *io.PipeWriter // zlib-stream
	out     *json.Decoder
}

type frame struct {
	Op int
	S  int64
	T  string
	D  json.RawMessage
}

func (f frame) data() map[string]any {
	var v map[string]any
	_ = json.Unmarshal(f.D, &v)
	return v
}

func dial(s *Server, query string) (*wire, error) {
	ws, _, err := websocket.DefaultDialer.Dial("ws://"+s.addr+"/gateway/?"+query, nil)
	if err != nil {
		return nil, err
	}
	w := &wire{ws: ws}
	if strings.Contains(query, "zlib-stream") {
		r, pw := io.Pipe()
		w.pipe = pw
		ready := make(chan struct{})
		go func() {
			z, err := zlib.NewReader(r)
			if err == nil {
				w.out = json.NewDecoder(z)
			}
			close(ready)
		}()
		_, data, err := ws.ReadMessage()
		if err != nil {
			return nil, err
		}
		go func() { // one writer for the pipe: the frames in order
			_, _ = pw.Write(data)
			for {
				_, data, err := ws.ReadMessage()
				if err != nil {
					_ = pw.CloseWithError(err)
					return
				}
				_, _ = pw.Write(data)
			}
		}()
		<-ready
	}
	return w, nil
}

func (w *wire) read() (frame, error) {
	var f frame
	if w.out != nil {
		err := w.out.Decode(&f)
		w.note(f)
		return f, err
	}
	_ = w.ws.SetReadDeadline(time.Now().Add(5 * time.Second))
	kind, data, err := w.ws.ReadMessage()
	if err != nil {
		return f, err
	}
	if kind == websocket.BinaryMessage {
		z, err := zlib.NewReader(bytes.NewReader(data))
		if err != nil {
			return f, err
		}
		if data, err = io.ReadAll(z); err != nil {
			return f, err
		}
	}
	err = json.Unmarshal(data, &f)
	w.note(f)
	return f, err
}

func (w *wire) note(f frame) {
	w.frames++
	if f.S > 0 {
		w.seq = f.S
	}
	if f.T == "READY" {
		w.session = str(f.data()["session_id"])
	}
}

func (w *wire) send(op int, d any) error { return w.ws.WriteJSON(map[string]any{"op": op, "d": d}) }

func identity(s *Server) map[string]any {
	return map[string]any{"token": s.Token(), "intents": IntentGuilds | IntentGuildMessages | IntentDirectMessages, "properties": map[string]any{"os": "linux"}}
}

// until reads up to an event or, for "op7" and the like, an opcode.
func (w *wire) until(what string) (frame, error) {
	for {
		f, err := w.read()
		if err != nil {
			return f, fmt.Errorf("waiting for %s: %w", what, err)
		}
		if f.T == what || fmt.Sprint("op", f.Op) == what {
			return f, nil
		}
	}
}

func connect(t *testing.T, s *Server, change func(map[string]any)) *wire {
	t.Helper()
	w, err := dial(s, "v=10&encoding=json")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = w.ws.Close() })
	w.must(t, "op10")
	id := identity(s)
	if change != nil {
		change(id)
	}
	if err := w.send(opIdentify, id); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *wire) must(t *testing.T, what string) frame {
	t.Helper()
	f, err := w.until(what)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func (w *wire) closeCode(t *testing.T) int {
	t.Helper()
	for {
		if _, err := w.read(); err != nil {
			if ce, ok := err.(*websocket.CloseError); ok {
				return ce.Code
			}
			return -1
		}
	}
}

// call makes a REST request by hand.
func call(t testing.TB, s *Server, method, path, body string) (int, map[string]any, http.Header) {
	t.Helper()
	return callAs(t, s, "Bot "+s.Token(), method, path, "application/json", body)
}

func callAs(t testing.TB, s *Server, auth, method, path, kind, body string) (int, map[string]any, http.Header) {
	t.Helper()
	req, err := http.NewRequest(method, s.API()+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("User-Agent", "DiscordBot (https://example.org, 1)")
	req.Header.Set("Authorization", auth)
	if body != "" {
		req.Header.Set("Content-Type", kind)
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0, nil, nil
	}
	defer resp.Body.Close()
	data, _ := io.ReadAll(resp.Body)
	var v map[string]any
	_ = json.Unmarshal(data, &v)
	return resp.StatusCode, v, resp.Header
}
