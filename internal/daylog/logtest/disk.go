// Package logtest gives tests of the day log a disk in memory that can lose
// power, run full and fail at any operation, and clocks that can jump, sleep
// and restart. No program uses it.
//
// The disk keeps what POSIX promises and nothing more: bytes are durable after
// the file was flushed, names after their folder was. A power cut (Cut) may
// keep any start of the bytes that were not flushed. After a failed flush the
// system forgets what was to be written and calls the next flush a success, as
// Linux file systems do (seen with several data bases in 2018; from memory).
package logtest

import (
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"floorpace/internal/daylog"
)

// ErrIO is what an injected fault returns unless the test gives another error.
var ErrIO = errors.New("input/output error (injected)")

// Op names an operation that can fail.
type Op string

// The operations.
const (
	OpOpen     Op = "open"
	OpRead     Op = "read"
	OpWrite    Op = "write"
	OpSync     Op = "sync"
	OpTruncate Op = "truncate"
	OpSyncDir  Op = "syncdir"
	OpRename   Op = "rename"
	OpRemove   Op = "remove"
	OpMkdir    Op = "mkdir"
	OpStat     Op = "stat"
	OpLock     Op = "lock"
)

// Call is one operation as it happened.
type Call struct {
	Op     Op
	Path   string
	Handle int // which opening of a file; 0 for operations by name
	Err    error
}

type node struct {
	data    []byte
	durable []byte
	dir     bool
	holes   []span // bytes whose flush failed: clean to the system, never on the disk
}

// span is data[from:to] of a file.
type span struct{ from, to int }

// Disk is a file system in memory. Any goroutine may use it.
type Disk struct {
	mu      sync.Mutex
	names   map[string]*node
	durable map[string]*node
	locks   map[string]bool
	handles int

	// Fault decides whether an operation fails; nil means none does. It is
	// called with the disk locked.
	Fault func(Call) error
	// Trace, when on, keeps every call in Calls.
	Trace bool
	Calls []Call
	// Room is how many bytes all files together may have; 0 means no limit.
	Room int64
	// LeaveNamesUnflushed makes SyncDir do nothing, for control runs.
	LeaveNamesUnflushed bool
	// LeaveBytesUnflushed makes Sync do nothing, for control runs.
	LeaveBytesUnflushed bool
}

// NewDisk is an empty disk with a root folder.
func NewDisk() *Disk {
	root := &node{dir: true}
	return &Disk{
		names:   map[string]*node{"/": root},
		durable: map[string]*node{"/": root},
		locks:   map[string]bool{},
	}
}

// step accounts for an operation and asks for its fault.
func (d *Disk) step(c Call) error {
	if d.Fault != nil {
		c.Err = d.Fault(c)
	}
	if d.Trace {
		d.Calls = append(d.Calls, c)
	}
	return c.Err
}

// Cut pulls the plug: it returns what a new start finds. Locks are gone, files
// opened on the old disk do nothing to the new one. rng may be nil: then no
// unflushed byte survives.
func (d *Disk) Cut(rng *rand.Rand) *Disk {
	d.mu.Lock()
	defer d.mu.Unlock()
	n := NewDisk()
	for _, path := range sortedKeys(d.durable) {
		old := d.durable[path]
		if path == "/" || n.names[filepath.Dir(path)] == nil {
			continue // its folder was lost
		}
		keep := old.durable
		if rng != nil && len(old.data) > len(keep) {
			more := rng.IntN(len(old.data) - len(keep) + 1)
			keep = append(slices.Clone(keep), old.data[len(keep):len(keep)+more]...)
		}
		file := &node{dir: old.dir, data: slices.Clone(keep)}
		file.durable = file.data
		n.names[path], n.durable[path] = file, file
	}
	return n
}

func sortedKeys(m map[string]*node) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Put makes a flushed file with the given bytes, and its folders.
func (d *Disk) Put(path string, data []byte) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for dir := filepath.Dir(path); d.names[dir] == nil; dir = filepath.Dir(dir) {
		n := &node{dir: true}
		d.names[dir], d.durable[dir] = n, n
	}
	n := &node{data: slices.Clone(data)}
	n.durable = n.data
	d.names[path], d.durable[path] = n, n
}

// Get returns a file's bytes, nil when there is none.
func (d *Disk) Get(path string) []byte {
	d.mu.Lock()
	defer d.mu.Unlock()
	if n := d.names[path]; n != nil && !n.dir {
		return slices.Clone(n.data)
	}
	return nil
}

// SetFault changes Fault while other goroutines use the disk.
func (d *Disk) SetFault(f func(Call) error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.Fault = f
}

// Replace changes the bytes of an existing file in place, as a bad disk does.
func (d *Disk) Replace(path string, data []byte) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.names[path].data = slices.Clone(data)
}

// Lives reports whether all bytes of a file would survive a power cut.
func (d *Disk) Lives(path string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	n := d.names[path]
	return n != nil && d.durable[path] == n && len(n.durable) == len(n.data)
}

// Paths are all files, sorted.
func (d *Disk) Paths() []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	var files []string
	for _, path := range sortedKeys(d.names) {
		if !d.names[path].dir {
			files = append(files, path)
		}
	}
	return files
}

// OpenFile implements daylog.FS.
func (d *Disk) OpenFile(name string, flag int) (daylog.File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	d.handles++
	h := &handle{disk: d, path: name, id: d.handles, flag: flag}
	if err := d.step(Call{Op: OpOpen, Path: name, Handle: h.id}); err != nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	n := d.names[name]
	switch {
	case n == nil && flag&os.O_CREATE == 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case n != nil && flag&os.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
	case n == nil && d.names[filepath.Dir(name)] == nil:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case n == nil:
		n = &node{}
		d.names[name] = n
	case n.dir:
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("is a folder")}
	case flag&os.O_TRUNC != 0:
		n.data = nil
	}
	h.node = n
	return h, nil
}

// Lstat implements daylog.FS.
func (d *Disk) Lstat(name string) (fs.FileInfo, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if err := d.step(Call{Op: OpStat, Path: name}); err != nil {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: err}
	}
	n := d.names[name]
	if n == nil {
		return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrNotExist}
	}
	return info{filepath.Base(name), int64(len(n.data)), n}, nil
}

// ReadDir implements daylog.FS.
func (d *Disk) ReadDir(name string) ([]fs.DirEntry, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if n := d.names[name]; n == nil || !n.dir {
		return nil, &fs.PathError{Op: "readdir", Path: name, Err: fs.ErrNotExist}
	}
	var entries []fs.DirEntry
	for _, path := range sortedKeys(d.names) {
		if path != "/" && filepath.Dir(path) == name {
			n := d.names[path]
			entries = append(entries, fs.FileInfoToDirEntry(info{filepath.Base(path), int64(len(n.data)), n}))
		}
	}
	return entries, nil
}

// Mkdir implements daylog.FS.
func (d *Disk) Mkdir(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if err := d.step(Call{Op: OpMkdir, Path: name}); err != nil {
		return &fs.PathError{Op: "mkdir", Path: name, Err: err}
	}
	if d.names[name] != nil {
		return &fs.PathError{Op: "mkdir", Path: name, Err: fs.ErrExist}
	}
	d.names[name] = &node{dir: true}
	return nil
}

// Rename implements daylog.FS.
func (d *Disk) Rename(from, to string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	from, to = filepath.Clean(from), filepath.Clean(to)
	if err := d.step(Call{Op: OpRename, Path: from}); err != nil {
		return &fs.PathError{Op: "rename", Path: from, Err: err}
	}
	n := d.names[from]
	if n == nil {
		return &fs.PathError{Op: "rename", Path: from, Err: fs.ErrNotExist}
	}
	delete(d.names, from)
	d.names[to] = n
	return nil
}

// Remove implements daylog.FS.
func (d *Disk) Remove(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if err := d.step(Call{Op: OpRemove, Path: name}); err != nil {
		return &fs.PathError{Op: "remove", Path: name, Err: err}
	}
	if d.names[name] == nil {
		return &fs.PathError{Op: "remove", Path: name, Err: fs.ErrNotExist}
	}
	delete(d.names, name)
	return nil
}

// SyncDir implements daylog.FS.
func (d *Disk) SyncDir(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if err := d.step(Call{Op: OpSyncDir, Path: name}); err != nil {
		return &fs.PathError{Op: "sync", Path: name, Err: err}
	}
	if d.LeaveNamesUnflushed {
		return nil
	}
	for path := range d.durable {
		if filepath.Dir(path) == name && d.names[path] == nil {
			delete(d.durable, path)
		}
	}
	for path, n := range d.names {
		if filepath.Dir(path) == name {
			d.durable[path] = n
		}
	}
	return nil
}

// SameFile implements daylog.FS.
func (d *Disk) SameFile(a, b fs.FileInfo) bool {
	x, ok := a.(info)
	y, ok2 := b.(info)
	return ok && ok2 && x.node == y.node
}

// StillAt implements daylog.FS.
func (d *Disk) StillAt(name string, file fs.FileInfo, size int64) (bool, error) {
	now, err := d.Lstat(name)
	if err != nil {
		return false, err
	}
	return d.SameFile(file, now) && now.Size() == size, nil
}

// Free implements daylog.FS.
func (d *Disk) Free(string) (uint64, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.Room == 0 {
		return 1 << 40, nil
	}
	return uint64(max(0, d.Room-d.used())), nil
}

func (d *Disk) used() (n int64) {
	for _, f := range d.names {
		n += int64(len(f.data))
	}
	return n
}

// Lock implements daylog.FS.
func (d *Disk) Lock(name string) (func() error, bool, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	name = filepath.Clean(name)
	if err := d.step(Call{Op: OpLock, Path: name}); err != nil {
		return nil, false, &fs.PathError{Op: "lock", Path: name, Err: err}
	}
	if d.locks[name] {
		return nil, false, nil
	}
	d.locks[name] = true
	return func() error {
		d.mu.Lock()
		defer d.mu.Unlock()
		delete(d.locks, name)
		return nil
	}, true, nil
}
