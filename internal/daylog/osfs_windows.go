package daylog

import (
	"errors"
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// syncDir does nothing: Windows cannot flush a folder; NTFS journals names.
func syncDir(string) error { return nil }

// rename retries: replacing a file that any program has open fails on Windows,
// and virus scanners hold new files for some tens of milliseconds.
func rename(from, to string) error {
	var err error
	for wait := 5 * time.Millisecond; wait <= 640*time.Millisecond; wait *= 2 {
		if err = os.Rename(from, to); err == nil || os.IsNotExist(err) {
			return err
		}
		time.Sleep(wait)
	}
	return err
}

func stillAt(name string, file fs.FileInfo, size int64) (bool, error) {
	now, err := os.Lstat(name)
	if err != nil {
		return false, err
	}
	return os.SameFile(file, now) && now.Size() == size, nil
}

func freeBytes(dir string) (uint64, error) {
	p, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var mine uint64
	if err := windows.GetDiskFreeSpaceEx(p, &mine, nil, nil); err != nil {
		return 0, &os.PathError{Op: "free space", Path: dir, Err: err}
	}
	return mine, nil
}

func isSystemFull(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL)
}
