package socket

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"time"
)

// Names in the data folder.
const (
	fileName  = "socket"
	pointName = "socket.at" // where the socket is, if the folder's path is too long for one
)

// Bounds of the talk.
const (
	// MaxLine is the longest line that is read, in bytes: several files of a book.
	MaxLine = 16 << 20
	// longestPath is what every system takes for the path of a socket.
	longestPath = 100
	mostTalks   = 256
	idle        = 5 * time.Minute
	// grace is how long what was begun may take to end when the server stops.
	grace = 10 * time.Second
)

// Handler answers one line, without its end, with one line. The context lives
// on when the server stops: what was begun is finished.
type Handler func(ctx context.Context, line []byte) []byte

// Server listens for the programs of one data folder.
type Server struct {
	dir, path, private string // private: a folder of our own elsewhere, "" none
	l                  *net.UnixListener
	h                  Handler
	log                *slog.Logger

	mu      sync.Mutex
	resting map[net.Conn]bool // talks between two lines
	ending  bool
	talks   sync.WaitGroup
}

// Listen opens the socket in dir, readable for its owner only. The caller owns
// the book, so a socket that is there already is what a killed program left.
func Listen(dir string, h Handler, log *slog.Logger) (*Server, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("the socket: %w", err)
	}
	s := &Server{dir: dir, h: h, log: log, resting: map[net.Conn]bool{}}
	if err := s.clean(); err != nil {
		return nil, fmt.Errorf("the socket: %w", err)
	}
	if err := s.listen(); err != nil {
		return nil, errors.Join(fmt.Errorf("the socket: %w", err), s.clean())
	}
	return s, nil
}

// clean takes away the socket of this folder, ours or a dead program's.
func (s *Server) clean() error {
	var errs []error
	if at, err := os.ReadFile(filepath.Join(s.dir, pointName)); err == nil && s.private == "" {
		if ours(string(at)) == nil {
			errs = append(errs, os.RemoveAll(filepath.Dir(string(at))))
		}
	}
	if s.private != "" {
		errs = append(errs, os.RemoveAll(s.private))
	}
	names := []string{fileName, pointName}
	if old, err := os.ReadDir(s.dir); err == nil {
		for _, d := range old { // killed while it opened its socket
			if d.IsDir() && strings.HasPrefix(d.Name(), privateName) {
				names = append(names, filepath.Join(d.Name(), fileName), d.Name())
			}
		}
	}
	for _, n := range names {
		if err := os.Remove(filepath.Join(s.dir, n)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// listen binds in a folder that nobody else may enter, so that the socket is
// never open to others, not even before its rights are set.
func (s *Server) listen() (err error) {
	s.path = filepath.Join(s.dir, fileName)
	parent := s.dir
	short := len(s.path)+len("/.socket-4294967295") <= longestPath
	if !short {
		parent = ""
	}
	private, err := os.MkdirTemp(parent, privateName+"*")
	if err != nil {
		return err
	}
	if short {
		defer func() { err = errors.Join(err, os.RemoveAll(private)) }()
	} else {
		s.private = private
	}
	bound := filepath.Join(private, fileName)
	if s.l, err = net.ListenUnix("unix", &net.UnixAddr{Name: bound, Net: "unix"}); err != nil {
		return err
	}
	s.l.SetUnlinkOnClose(false)
	if err = os.Chmod(bound, 0o600); err == nil {
		if short {
			err = os.Rename(bound, s.path)
		} else {
			s.path = bound
			err = os.WriteFile(filepath.Join(s.dir, pointName), []byte(bound), 0o600)
		}
	}
	if err != nil {
		err = errors.Join(err, s.l.Close())
	}
	return err
}

// Path is where the socket is.
func (s *Server) Path() string { return s.path }

// Run answers until ctx ends, then finishes what was begun and takes the socket away.
func (s *Server) Run(ctx context.Context) error {
	stop := context.AfterFunc(ctx, s.end)
	defer stop()
	work, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	room := make(chan struct{}, mostTalks)
	var err error
	for {
		room <- struct{}{}
		c, aerr := s.l.Accept()
		if aerr != nil {
			<-room
			if ctx.Err() != nil {
				break
			}
			if errors.Is(aerr, net.ErrClosed) {
				err = fmt.Errorf("the socket: %w", aerr)
				break
			}
			s.log.Warn("a program could not be let in", "err", aerr)
			select { // too many open files: not in a tight loop
			case <-ctx.Done():
			case <-time.After(100 * time.Millisecond):
			}
			continue
		}
		s.talks.Add(1)
		go func() {
			defer func() { <-room; s.talks.Done() }()
			s.talk(work, c)
		}()
	}
	ended := make(chan struct{})
	go func() { s.talks.Wait(); close(ended) }()
	select {
	case <-ended:
	case <-time.After(grace):
		s.log.Warn("a question took too long to end")
	}
	return errors.Join(err, s.clean())
}

// end lets nobody in any more and wakes those who wait for a line.
func (s *Server) end() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ending = true
	_ = s.l.Close() // Accept tells
	for c := range s.resting {
		_ = c.SetReadDeadline(time.Unix(1, 0)) // a connection that is gone already needs no waking
	}
}

// rest notes that a talk waits for its next line; false: the server stops.
func (s *Server) rest(c net.Conn, resting bool) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !resting {
		delete(s.resting, c)
		return true
	}
	if s.ending {
		return false
	}
	s.resting[c] = true
	return c.SetReadDeadline(time.Now().Add(idle)) == nil
}

func (s *Server) talk(ctx context.Context, c net.Conn) {
	defer c.Close()
	r := bufio.NewReaderSize(c, 64<<10)
	for s.rest(c, true) {
		line, err := readLine(r)
		s.rest(c, false)
		if err != nil {
			if errors.Is(err, errTooLong) {
				s.log.Warn("a line through the socket was too long")
			}
			return
		}
		out := s.safely(ctx, line)
		if out == nil {
			return
		}
		if err := c.SetWriteDeadline(time.Now().Add(grace)); err != nil {
			return
		}
		if _, err := c.Write(append(out, '\n')); err != nil {
			return // who asked has gone
		}
	}
}

// safely answers a line; one bad line must not end the rest.
func (s *Server) safely(ctx context.Context, line []byte) (out []byte) {
	defer func() {
		if p := recover(); p != nil {
			s.log.Error("answering panicked", "panic", fmt.Sprint(p), "stack", string(debug.Stack()))
			out = nil
		}
	}()
	return s.h(ctx, line)
}

var errTooLong = errors.New("the line is too long")

// readLine reads a line without its end. A line that its end is missing of is none.
func readLine(r *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := r.ReadSlice('\n')
		if len(line)+len(part) > MaxLine {
			return nil, errTooLong
		}
		line = append(line, part...)
		switch {
		case err == nil:
			return line[:len(line)-1], nil
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF) && len(line) > 0:
			return nil, io.ErrUnexpectedEOF
		default:
			return nil, err
		}
	}
}
