//go:build unix

package daylog

import (
	"errors"
	"os"

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
