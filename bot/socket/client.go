package socket

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// privateName begins the name of the folder that a socket is bound in.
const privateName = ".socket-"

// ErrNobody: no program listens there.
var ErrNobody = errors.New("no tamis keeps this book just now")

// ours reports why a path that a data folder names is no socket of ours: it
// must stand in a folder of its own that only its owner may enter.
func ours(at string) error {
	if !filepath.IsAbs(at) || filepath.Base(at) != fileName || !strings.HasPrefix(filepath.Base(filepath.Dir(at)), privateName) {
		return fmt.Errorf("%q is no socket", at)
	}
	info, err := os.Lstat(filepath.Dir(at))
	if err != nil {
		return err
	}
	if !info.IsDir() || info.Mode().Perm()&0o077 != 0 {
		return fmt.Errorf("the folder of %q is open to others", at)
	}
	return nil
}

// Dial finds the program that keeps the book of a data folder.
//
//   - Errors: [ErrNobody] where there is none, also where one was killed.
func Dial(ctx context.Context, dir string) (net.Conn, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNobody, err)
	}
	path := filepath.Join(dir, fileName)
	if at, err := os.ReadFile(filepath.Join(dir, pointName)); err == nil {
		if err := ours(string(at)); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrNobody, err)
		}
		path = string(at)
	} else if len(path) > longestPath {
		return nil, ErrNobody
	}
	var d net.Dialer
	c, err := d.DialContext(ctx, "unix", path)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNobody, err)
	}
	return c, nil
}

// Do sends one line to the program that keeps the book of a data folder and
// returns its answer.
//
//   - Errors: [ErrNobody] where nothing was sent; any other error leaves open
//     whether the line was taken.
func Do(ctx context.Context, dir string, line []byte) ([]byte, error) {
	if len(line) >= MaxLine {
		return nil, errTooLong
	}
	c, err := Dial(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	stop := context.AfterFunc(ctx, func() { _ = c.SetDeadline(time.Unix(1, 0)) }) // ends the wait; the error below is ctx's
	defer stop()
	if _, err := c.Write(append(line, '\n')); err != nil {
		return nil, fmt.Errorf("asking the tamis that keeps the book: %w", err)
	}
	out, err := readLine(bufio.NewReaderSize(c, 64<<10))
	switch {
	case err == nil:
		return out, nil
	case ctx.Err() != nil:
		return nil, ctx.Err()
	}
	return nil, fmt.Errorf("the tamis that keeps the book has gone before it answered: %w", err)
}
