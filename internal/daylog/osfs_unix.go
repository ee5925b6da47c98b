//go:build unix

package daylog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// syncDir flushes the names of a folder.
func syncDir(name string) error {
	d, err := os.Open(name)
	if err != nil {
		return err
	}
	err = d.Sync()
	if cerr := d.Close(); err == nil {
		err = cerr
	}
	return err
}

func rename(from, to string) error { return os.Rename(from, to) }

// stillAt asks the system itself: os.Lstat makes a description of the file,
// which costs as much again as the look.
func stillAt(name string, file fs.FileInfo, size int64) (bool, error) {
	was, ok := file.Sys().(*syscall.Stat_t)
	if !ok {
		return false, fmt.Errorf("%s: the system does not tell one file from another", name)
	}
	var now unix.Stat_t
	if err := unix.Lstat(name, &now); err != nil {
		return false, &os.PathError{Op: "lstat", Path: name, Err: err}
	}
	return uint64(now.Dev) == uint64(was.Dev) && now.Ino == was.Ino && now.Size == size, nil
}

// freeBytes counts what an ordinary user may still write (statvfs f_bavail).
func freeBytes(dir string) (uint64, error) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, &os.PathError{Op: "statfs", Path: dir, Err: err}
	}
	return uint64(s.Bavail) * uint64(s.Bsize), nil
}

func isSystemFull(err error) bool {
	return errors.Is(err, unix.ENOSPC) || errors.Is(err, unix.EDQUOT)
}
