//go:build unix

package index_test

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// In a folder that may be read and not written to, an index that fits is used,
// and otherwise the answer comes from memory.
func TestReadOnlyFolder(t *testing.T) {
	for _, c := range []struct{ what, built, want string }{
		{"an index that fits", "one", "disk true: pear tart, poached pear"},
		{"an index of another book", "two", "disk false: pear tart, poached pear"},
		{"no index", "", "disk false: pear tart, poached pear"},
	} {
		t.Run(c.what, func(t *testing.T) {
			base := t.TempDir()
			dir := filepath.Join(base, "index")
			if err := os.Mkdir(dir, 0o755); err != nil {
				t.Fatal(err)
			}
			if c.built != "" {
				open(t, pears(c.built), dir).close(t)
			}
			mode(t, dir, 0o555, 0o444)
			t.Cleanup(func() { mode(t, dir, 0o755, 0o644) })
			if said := asNobody(t, base, dir); said != c.want {
				t.Errorf("%q, want %q", said, c.want)
			}
		})
	}
}

func mode(t *testing.T, dir string, folder, file os.FileMode) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() {
			return os.Chmod(path, folder)
		}
		return os.Chmod(path, file)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// asNobody asks in another process without the rights of root, to whom no folder
// is read-only.
func asNobody(t *testing.T, base, dir string) string {
	t.Helper()
	if os.Geteuid() != 0 {
		return other(t, "ask", dir)
	}
	// the test program and the folders above must be open to nobody too
	program := filepath.Join(base, "program")
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	copyFile(t, self, program)
	for p := base; p != os.TempDir() && p != filepath.Dir(p); p = filepath.Dir(p) {
		if err := os.Chmod(p, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return start(t, program, "ask", dir, func(c *exec.Cmd) {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	})
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	in, err := os.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(out, in); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
}
