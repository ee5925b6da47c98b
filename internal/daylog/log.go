package daylog

import (
	"bytes"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Options say how a log is kept; the zero value is the ordinary way.
type Options struct {
	Install  string         // this installation's id; a file of another is not continued
	App      string         // program and version, for headers and opening events
	Suspect  Answer         // the crew's answer about a suspect last line
	Header   Header         // Station, Day and Plan for a new file when the old header is unreadable
	Fallback []string       // folders to go on in when the log's own fails, best first
	Second   string         // folder on another disk for a second copy; "" for none
	Ballast  int64          // bytes of ballast; 0 means BallastSize, negative none
	Zone     *time.Location // of the times in words; nil leaves each as it was written
	Rand     io.Reader      // for writer ids; nil means crypto/rand
}

// Answer is what the crew says about a last line whose checksum is wrong.
type Answer int

// The answers.
const (
	Ask  Answer = iota // not asked yet: Open stops with ErrAsk
	Keep               // the tap was right: write it again
	Drop               // drop it; a copy of the bytes stays beside the log
)

// Trouble is what went wrong while an event was saved. The zero value is no
// trouble.
type Trouble struct {
	Words   []string // plain sentences for a banner, most important first
	File    string   // the new file, when the log went on in one
	Suspect []Record // taps the crew should look at again
	Cause   error    // what the system said
}

// None reports whether all went well.
func (t Trouble) None() bool { return len(t.Words) == 0 }

// Log is a day log open for writing. One goroutine uses it.
type Log struct {
	fs    FS
	clock Clock
	opt   Options

	head    Header
	home    string // the folder of the day
	path    string
	file    File        // nil once the handle died
	info    fs.FileInfo // of the open file, taken when it was opened
	size    int64
	next    int64
	sum     uint32
	held    []Record // events of the day so far, oldest first
	pending []Record // events nowhere on disk for sure, oldest first

	unlock  map[string]func() error // by folder
	ballast string                  // the ballast file, "" when there is none
	second  *second
	took    time.Duration
	spaceAt time.Duration // when the free space was looked at last
	spaceIn int           // how many appends until it is again
	free    uint64
	freeErr error
}

// Create begins a new log in folder dir, which is made when missing. h gives
// Station, Day and Plan. The header and the folder are flushed before it
// returns, then the session's opening event is.
func Create(fsys FS, dir string, h Header, clock Clock, opt Options) (*Log, error) {
	if opt.Install == "" {
		opt.Install = h.Install
	}
	if opt.App == "" {
		opt.App = h.App
	}
	if err := mkdirAll(fsys, dir); err != nil {
		return nil, fmt.Errorf("make the folder of the day log: %w", err)
	}
	l := newLog(fsys, clock, opt, dir)
	if err := l.lock(dir, h.Station+".lock"); err != nil {
		return nil, err
	}
	h.From = ""
	if err := l.begin(dir, h, "new"); err != nil {
		l.release()
		return nil, err
	}
	l.afterOpen()
	return l, nil
}

func newLog(fsys FS, clock Clock, opt Options, dir string) *Log {
	return &Log{fs: fsys, clock: clock, opt: opt, home: dir, unlock: make(map[string]func() error)}
}

// lock takes the lock file of a station in dir. The log is never written
// without it.
func (l *Log) lock(dir, name string) error {
	if l.unlock[dir] != nil {
		return nil
	}
	path := filepath.Join(dir, name)
	unlock, ok, err := l.fs.Lock(path)
	if err != nil {
		return fmt.Errorf("the day log stays closed, its lock file cannot be locked: %w", err)
	}
	if !ok {
		return fmt.Errorf("%s is held: %w: close the other program first", path, ErrLocked)
	}
	l.unlock[dir] = unlock
	return nil
}

func (l *Log) release() {
	for dir, unlock := range l.unlock {
		// A lock that cannot be released ends with the process.
		_ = unlock()
		delete(l.unlock, dir)
	}
}

// begin creates the file of a new writer in dir and makes l write to it. found
// goes into the opening event.
func (l *Log) begin(dir string, h Header, found string) error {
	random := l.opt.Rand
	if random == nil {
		random = rand.Reader
	}
	var id [16]byte
	if _, err := io.ReadFull(random, id[:]); err != nil {
		return fmt.Errorf("draw a writer id: %w", err)
	}
	h.Version, h.Writer = Version, hex.EncodeToString(id[:])
	h.Install, h.App = l.opt.Install, l.opt.App
	if err := h.check(); err != nil {
		return err
	}
	at := l.clock.Now()
	line, sum, err := encodeHeader(h, at)
	if err != nil {
		return err
	}
	h.Wall, h.Sum, h.Bytes = toMillis(at.Wall), sum, line
	path := filepath.Join(dir, h.FileName())
	n := &Log{fs: l.fs, clock: l.clock, opt: l.opt, head: h, path: path, next: 1, sum: sum}
	repeat := l.toRepeat(dir)
	opened, err := n.makeOpened(found, len(repeat)+len(l.pending))
	if err != nil {
		return err
	}
	data, err := n.beginning(opened, repeat, l.pending)
	if err != nil {
		return err
	}
	// The file is there whole or not at all, however much it repeats.
	if err := writeWhole(l.fs, path, data); err != nil {
		return err
	}
	n.file, err = l.fs.OpenFile(path, os.O_RDWR|os.O_APPEND)
	if err == nil {
		n.info, err = n.file.Stat()
	}
	if err == nil {
		l.head, l.path, l.file, l.info, l.size, l.next, l.sum = n.head, n.path, n.file, n.info, int64(len(data)), n.next, n.sum
		l.remember(opened)
		return nil
	}
	// Nothing in the new file was confirmed to anyone: take it away again.
	n.drop()
	_ = l.fs.Remove(path)
	return err
}

// repeated is how many events a new file repeats beside one that is still there:
// a crew taps at most a few times in the seconds a bad disk may have lost.
const repeated = 8

// toRepeat are the events that a new file in dir repeats: all of the day, in case
// nobody finds the old file again, unless that stands beside it as long as it was.
func (l *Log) toRepeat(dir string) []Record {
	if l.info == nil || filepath.Dir(l.path) != filepath.Clean(dir) {
		return l.held
	}
	if info, err := l.fs.Lstat(l.path); err != nil || !l.fs.SameFile(l.info, info) || info.Size() < l.size {
		return l.held
	}
	return l.held[max(0, len(l.held)-repeated):]
}

// beginning is the text of a new file: the header, the opening event, and events
// of other files as they stood there.
func (l *Log) beginning(opened Record, lists ...[]Record) ([]byte, error) {
	data := append(bytes.Clone(l.head.Bytes), '\n')
	add := func(r Record) {
		data = append(append(data, r.Bytes...), '\n')
		l.advance(r)
	}
	add(opened)
	for _, list := range lists {
		for _, r := range list {
			body, err := marshal(keptBody{ID: r.Writer, Line: string(r.Bytes)})
			if err != nil {
				return nil, err
			}
			kept, err := l.make(KindKept, Reading{Wall: r.Wall, Mono: l.clock.Now().Mono}, body)
			if err != nil {
				return nil, err
			}
			add(kept)
		}
	}
	return data, nil
}

// writeSync is one write and one flush; a short write is an error.
func writeSync(file File, b []byte) error {
	n, err := file.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err != nil {
		return err
	}
	return file.Sync()
}

// mkdirAll makes dir and its parents, each name flushed into its parent.
func mkdirAll(fsys FS, dir string) error {
	if info, err := fsys.Lstat(dir); err == nil {
		if !info.IsDir() && info.Mode()&fs.ModeSymlink == 0 {
			return fmt.Errorf("%s is not a folder", dir)
		}
		return nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	parent := filepath.Dir(dir)
	if parent != dir {
		if err := mkdirAll(fsys, parent); err != nil {
			return err
		}
	}
	if err := fsys.Mkdir(dir); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return fsys.SyncDir(parent)
}

// openedBody is the opening event: which boot the clock readings belong to, what
// state the file was in, and how many lines of other files stand behind it. (Whoever
// has this event and not its file knows by it that those numbers are no events of
// its own.)
type openedBody struct {
	Boot  string `json:"boot"`
	App   string `json:"app"`
	Found string `json:"found"`
	Kept  int    `json:"kept,omitempty"`
}

func (l *Log) makeOpened(found string, kept int) (Record, error) {
	at := l.clock.Now()
	body, err := marshal(openedBody{Boot: at.Boot, App: l.opt.App, Found: found, Kept: kept})
	if err != nil {
		return Record{}, err
	}
	return l.make(KindOpened, at, body)
}

// Header is the header of the file being written now.
func (l *Log) Header() Header { return l.head }

// Path is the file being written now.
func (l *Log) Path() string { return l.path }

// Took is how long the last save took, by the clock that counts sleep.
func (l *Log) Took() time.Duration { return l.took }

// Pending is how many events are in memory only.
func (l *Log) Pending() int { return len(l.pending) }

// Close ends writing and gives the lock back. It flushes nothing: every
// confirmed event is on disk already. Ending without Close loses nothing.
func (l *Log) Close() error {
	var err error
	if l.file != nil {
		err = l.file.Close()
		l.file = nil
	}
	if l.second != nil {
		l.second.stop()
		l.second = nil
	}
	l.release()
	return err
}
