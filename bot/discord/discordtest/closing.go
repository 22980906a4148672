package discordtest

import (
	"net"
	"slices"
	"time"

	"github.com/gorilla/websocket"
)

// watchBeat closes with 4009 a client that does not beat.
func (c *conn) watchBeat() {
	every := c.srv.o.Heartbeat
	tick := time.NewTicker(every / 4)
	defer tick.Stop()
	for {
		select {
		case <-c.done:
			return
		case <-tick.C:
			c.srv.mu.Lock()
			late := time.Since(c.lastBeat) > 2*every+time.Second
			if late {
				c.srv.violate("gateway: no heartbeat for two intervals")
			}
			c.srv.mu.Unlock()
			if late {
				c.closeWith(4009)
				return
			}
		}
	}
}

func (c *conn) closeWith(code int) {
	msg := websocket.FormatCloseMessage(code, closeReasons[code])
	_ = c.ws.WriteControl(websocket.CloseMessage, msg, time.Now().Add(time.Second))
	// the peer answers the close; a reset at once could overtake it
	time.AfterFunc(100*time.Millisecond, func() { c.gone(-1) })
	if code == 4007 || code == 4009 || code == 4004 {
		c.srv.mu.Lock()
		c.forget()
		c.srv.mu.Unlock()
	}
}

// forget ends the session. Called with the lock held.
func (c *conn) forget() {
	if c.sess != nil {
		c.srv.gate.sessions = slices.DeleteFunc(c.srv.gate.sessions, func(x *session) bool { return x == c.sess })
	}
}

// gone takes the connection off its session; what the client closed with 1000
// or 1001 can't be resumed (events/gateway, Initiating a Disconnect).
func (c *conn) gone(code int) {
	c.once.Do(func() {
		close(c.done)
		_ = c.ws.Close()
		s := c.srv
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.gate.conns, c)
		s.gate.closes = append(s.gate.closes, code)
		if over := len(s.gate.closes) - 1000; over > 0 {
			s.gate.closes = s.gate.closes[over:]
		}
		if c.sess != nil && c.sess.conn == c {
			c.sess.conn = nil
			c.sess.detachedAt = time.Now()
			if code == 1000 || code == 1001 {
				c.forget()
			}
		}
		s.gate.trim()
		s.notify()
	})
}

// drop cuts the connection without a word.
func (c *conn) drop(how Drop) {
	tcp, _ := c.ws.NetConn().(*net.TCPConn)
	if how == DropMidFrame {
		// the head of a text frame of 1000 bytes, and ten of them
		_, _ = c.ws.NetConn().Write(append([]byte{0x81, 126, 0x03, 0xe8}, `{"op":0,"s`...))
		time.Sleep(2 * time.Millisecond)
	}
	if tcp != nil && how != DropClean {
		_ = tcp.SetLinger(0)
	}
	c.gone(-1)
}

// closeReasons are the gateway's close codes (topics/opcodes-and-status-codes).
var closeReasons = map[int]string{
	4000: "Unknown error.", 4001: "Unknown opcode.", 4002: "Error while decoding payload.", 4003: "Not authenticated.",
	4004: "Authentication failed.", 4005: "Already authenticated.", 4007: "Invalid seq.", 4008: "Rate limited.", 4009: "Session timed out.",
	4010: "Invalid shard.", 4011: "Sharding required.", 4012: "Invalid API version.", 4013: "Invalid intent(s).", 4014: "Disallowed intent(s).",
}
