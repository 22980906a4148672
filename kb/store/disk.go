package store

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
)

// disk is what the store needs of a file system to write below one folder.
// Names have slashes and are relative to the folder.
type disk interface {
	fs.FS
	Mkdir(name string) error
	// OpenFile opens for writing with the flags of package os.
	OpenFile(name string, flag int) (diskFile, error)
	Rename(from, to string) error
	Remove(name string) error
	// SyncDir makes durable what was made, renamed or removed in a folder.
	SyncDir(name string) error
}

type diskFile interface {
	io.Writer
	Sync() error
	Truncate(size int64) error
	Close() error
}

// osDisk is a folder of the machine; links cannot lead out of it.
type osDisk struct {
	fs.FS
	root *os.Root
}

func openDisk(dir string) (*osDisk, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return &osDisk{root.FS(), root}, nil
}

func (d *osDisk) Close() error                 { return d.root.Close() }
func (d *osDisk) Mkdir(name string) error      { return d.root.Mkdir(name, 0o755) }
func (d *osDisk) Rename(from, to string) error { return d.root.Rename(from, to) }
func (d *osDisk) Remove(name string) error     { return d.root.Remove(name) }

func (d *osDisk) OpenFile(name string, flag int) (diskFile, error) {
	f, err := d.root.OpenFile(name, flag, 0o644)
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (d *osDisk) SyncDir(name string) error {
	f, err := d.root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// mkdirAll makes a folder and those above it, each durable in the one above.
func mkdirAll(d disk, name string) error {
	if name == "." {
		return nil
	}
	switch info, err := fs.Stat(d, name); {
	case err == nil && info.IsDir():
		return nil
	case err == nil:
		return &fs.PathError{Op: "mkdir", Path: name, Err: errors.New("it is no folder")}
	}
	if err := mkdirAll(d, path.Dir(name)); err != nil {
		return err
	}
	if err := d.Mkdir(name); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return d.SyncDir(path.Dir(name))
}

// writeWhole writes a file so that at any moment either the old or the new one
// stands there, whole.
func writeWhole(d disk, name, content string) (err error) {
	if err := mkdirAll(d, path.Dir(name)); err != nil {
		return err
	}
	temp := path.Join(path.Dir(name), "."+path.Base(name)+".new")
	f, err := d.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	_, err = io.WriteString(f, content)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = d.Rename(temp, name)
	}
	if err != nil {
		_ = d.Remove(temp) // it is of no use; the error tells the rest
		return err
	}
	return d.SyncDir(path.Dir(name))
}

// removeFile removes a file for good; it may be gone already.
func removeFile(d disk, name string) error {
	if err := d.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	switch err := d.SyncDir(path.Dir(name)); {
	case errors.Is(err, fs.ErrNotExist): // with its folder
		return nil
	default:
		return err
	}
}
