package daylog

import (
	"errors"
	"io"
	"io/fs"
)

// Errors a caller tells apart with errors.Is.
var (
	// ErrBody: the event or header cannot be written as it is. The log is
	// untouched and goes on.
	ErrBody = errors.New("cannot stand in a day log")
	// ErrTooLong: as ErrBody, longer than a line may be.
	ErrTooLong = errors.New("too long for one line of the day log")
	// ErrLine: not a line of a day log, or its checksum is wrong.
	ErrLine = errors.New("not a sound line of a day log")
	// ErrLocked: another program writes this station's log.
	ErrLocked = errors.New("another program has this log open")
	// ErrForeign: the file is not a day log; it was not touched.
	ErrForeign = errors.New("not a day log")
	// ErrNewer: a newer major version; read only.
	ErrNewer = errors.New("written by a newer version")
	// ErrAsk: the last tap may be damaged; open again with Options.Suspect set.
	ErrAsk = errors.New("the last tap may be damaged: keep or drop it")
	// ErrNotSaved: nowhere to write. The event is kept in memory and tried
	// again with the next Append or Retry.
	ErrNotSaved = errors.New("not saved")
	// ErrLimit: larger than an import may be.
	ErrLimit = errors.New("beyond the limits of an import")
)

// File is an open file.
type File interface {
	io.ReaderAt
	io.Writer
	io.Closer
	Sync() error
	Truncate(size int64) error
	Stat() (fs.FileInfo, error)
}

// FS is the little of a file system that a day log needs; tests put faults in.
type FS interface {
	// OpenFile opens name with the flags of package os. The log opens with
	// O_APPEND to write and without it to truncate: Windows refuses to cut a
	// file opened for appending.
	OpenFile(name string, flag int) (File, error)
	// Lstat describes name without following a link.
	Lstat(name string) (fs.FileInfo, error)
	// ReadDir lists a folder, sorted by name.
	ReadDir(name string) ([]fs.DirEntry, error)
	// Mkdir makes one folder; its parent must be there.
	Mkdir(name string) error
	Rename(from, to string) error
	Remove(name string) error
	// SyncDir makes the names in a folder durable.
	SyncDir(name string) error
	// SameFile reports whether two descriptions are of one file.
	SameFile(a, b fs.FileInfo) bool
	// StillAt reports whether name is that very file and size bytes long. It
	// is asked before every append, so it should be quick.
	StillAt(name string, file fs.FileInfo, size int64) (bool, error)
	// Free returns the bytes this user can still write in a folder.
	Free(dir string) (uint64, error)
	// Lock takes a lock file or reports false when another program holds it.
	Lock(name string) (unlock func() error, ok bool, err error)
}
