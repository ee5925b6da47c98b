package daylog

import (
	"fmt"
	"io/fs"
	"os"

	"github.com/gofrs/flock"
)

// OS returns the file system of the machine.
func OS() FS { return osFS{} }

type osFS struct{}

func (osFS) OpenFile(name string, flag int) (File, error) {
	f, err := os.OpenFile(name, flag, 0o644)
	if err != nil {
		return nil, err // not a typed nil in the interface
	}
	return f, nil
}

func (osFS) Lstat(name string) (fs.FileInfo, error)     { return os.Lstat(name) }
func (osFS) ReadDir(name string) ([]fs.DirEntry, error) { return os.ReadDir(name) }
func (osFS) Mkdir(name string) error                    { return os.Mkdir(name, 0o755) }
func (osFS) Rename(from, to string) error               { return rename(from, to) }
func (osFS) Remove(name string) error                   { return os.Remove(name) }
func (osFS) SyncDir(name string) error                  { return syncDir(name) }
func (osFS) SameFile(a, b fs.FileInfo) bool             { return os.SameFile(a, b) }
func (osFS) StillAt(name string, file fs.FileInfo, size int64) (bool, error) {
	return stillAt(name, file, size)
}

func (osFS) Free(dir string) (uint64, error) { return freeBytes(dir) }

func (osFS) Lock(name string) (func() error, bool, error) {
	l := flock.New(name, flock.SetPermissions(0o644))
	ok, err := l.TryLock()
	if err != nil || !ok {
		if cerr := l.Close(); err == nil && cerr != nil {
			err = cerr
		}
		if err != nil {
			err = fmt.Errorf("lock %s: %w", name, err)
		}
		return nil, false, err
	}
	return l.Close, true, nil
}
