package index_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/blevesearch/bleve/v2"
	"github.com/gofrs/flock"

	"tamis/kb/index"
)

// As another process this test program does what childTask says with childDir.
const (
	childTask = "INDEX_TEST_TASK"
	childDir  = "INDEX_TEST_DIR"
)

func TestMain(m *testing.M) {
	if task := os.Getenv(childTask); task != "" {
		if err := child(task, os.Getenv(childDir)); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// child does the task, says so on a line, and goes on until its input ends.
func child(task, dir string) error {
	switch task {
	case "hold": // opens the index to write to it, as any program with bleve could
		found, err := folders(dir)
		if err != nil || len(found) != 1 {
			return fmt.Errorf("%q, %v", found, err)
		}
		x, err := bleve.Open(filepath.Join(dir, found[0]))
		if err != nil {
			return err
		}
		defer x.Close()
		fmt.Println("held")
	case "lock": // writes to the folder
		l := flock.New(filepath.Join(dir, "lock"))
		if ok, err := l.TryLock(); !ok || err != nil {
			return fmt.Errorf("lock: %t, %v", ok, err)
		}
		defer l.Close()
		fmt.Println("locked")
	case "ask": // answers from the folder
		x, err := index.Open(context.Background(), pears("one"), dir, nil)
		if err != nil {
			return err
		}
		defer x.Close()
		hits, err := x.Search(context.Background(), "pear", 5)
		if err != nil {
			return err
		}
		fmt.Printf("disk %t: %s\n", x.OnDisk(), strings.Join(names(hits), ", "))
	default:
		return fmt.Errorf("unknown task %q", task)
	}
	_, err := io.Copy(io.Discard, os.Stdin)
	return err
}

// start runs this test program as another process and returns what it says first.
func start(t *testing.T, program, task, dir string, change func(*exec.Cmd)) string {
	t.Helper()
	c := exec.Command(program)
	c.Env = append(os.Environ(), childTask+"="+task, childDir+"="+dir)
	c.Stderr = os.Stderr
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(c)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		in.Close()
		if err := c.Wait(); err != nil {
			t.Error("the other process:", err)
		}
	})
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatalf("the other process said %q, %v", line, err)
	}
	return strings.TrimSpace(line)
}

// other runs this test program as another process of the same user.
func other(t *testing.T, task, dir string) string {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return start(t, program, task, dir, nil)
}

// Another process has the index open for writing: nobody waits, it is answered
// from memory, and the other's files stay.
func TestHeldByAnotherProcess(t *testing.T) {
	dir := t.TempDir()
	open(t, pears("one"), dir).close(t)
	if said := other(t, "hold", dir); said != "held" {
		t.Fatal(said)
	}
	before, err := folders(dir)
	if err != nil {
		t.Fatal(err)
	}
	x := open(t, pears("one"), dir)
	defer x.close(t)
	x.finds(t, "pear", "pear tart, poached pear")
	if x.OnDisk() {
		t.Error("it answers from the index that another process holds")
	}
	if after, err := folders(dir); err != nil || fmt.Sprint(after) != fmt.Sprint(before) {
		t.Errorf("%q became %q, %v", before, after, err)
	}
}

// Another process writes to the folder: nobody waits for it.
func TestLockedByAnotherProcess(t *testing.T) {
	dir := t.TempDir()
	if said := other(t, "lock", dir); said != "locked" {
		t.Fatal(said)
	}
	x := open(t, pears("one"), dir)
	defer x.close(t)
	x.finds(t, "pear", "pear tart, poached pear")
	if found, err := folders(dir); x.OnDisk() || len(found) != 0 || err != nil {
		t.Errorf("on disk %t, folders %q, %v", x.OnDisk(), found, err)
	}
}

// An index that is whole is opened to read only, so processes share it, and one
// that builds the next does not disturb them.
func TestSharedByProcesses(t *testing.T) {
	dir := t.TempDir()
	x := open(t, pears("one"), dir)
	defer x.close(t)
	for range 2 {
		if said := other(t, "ask", dir); said != "disk true: pear tart, poached pear" {
			t.Fatal(said)
		}
	}
	next := open(t, book("two", "pear cake"), dir)
	defer next.close(t)
	next.finds(t, "pear", "pear cake")
	if !next.OnDisk() {
		t.Error("the next index is not on disk")
	}
	x.finds(t, "pear", "pear tart, poached pear")
}
