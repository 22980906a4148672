package bot_test

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"tamis/kb/store"
)

// A folder that cannot be written keeps no proposal, and says so; root is
// somebody else for as long as it tries.
func TestProposalFolderReadOnly(t *testing.T) {
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 {
		const nobody = 65534
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		if err := syscall.Setfsuid(nobody); err != nil {
			t.Fatal(err)
		}
		defer func() {
			if err := syscall.Setfsuid(0); err != nil {
				t.Error(err)
			}
		}()
	}
	if f, err := os.Create(filepath.Join(dir, "probe")); err == nil {
		_ = f.Close()
		t.Fatal("the folder can be written after all")
	}
	if _, err := store.OpenProposals(filepath.Join(dir, "data")).Keep(store.Proposal{Who: "jonte"}); !errors.Is(err, store.ErrReadOnly) {
		t.Error(err)
	}
}
