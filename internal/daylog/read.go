package daylog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Limits of reading, so that a hostile or mistaken file cannot fill the memory.
const (
	MaxFile  = 512 << 20 // bytes; three million events
	MaxFiles = 256       // files in one folder or one call
)

// Contents is what a file holds, read without changing it.
type Contents struct {
	Path    string
	Header  *Header  // nil when unreadable
	Records []Record // verified events by number
	Verdict Verdict
	Faults  []Fault
	Tail    []byte   // bytes behind the last verified line
	Unread  int      // bytes that the disk does not give back; they stand as zeros
	Words   []string // plain sentences for the crew
}

// Read reads a log that is not being written. It changes nothing.
func Read(fsys FS, path string) (*Contents, error) {
	data, err := readFile(fsys, path, MaxFile)
	if err != nil {
		return nil, err
	}
	return contentsOf(path, scan(data)), nil
}

// readRescue is Read for whoever only looks: of a file whose disk fails in places
// it takes what it gets, with zeros for the rest. (A log that is to be gone on with
// is never read like this: its end could seem to be zeros and be cut.)
func readRescue(fsys FS, path string) (*Contents, error) {
	c, err := Read(fsys, path)
	if err == nil || errors.Is(err, ErrForeign) || errors.Is(err, ErrLimit) {
		return c, err
	}
	file, oerr := fsys.OpenFile(path, os.O_RDONLY)
	if oerr != nil {
		return nil, err
	}
	info, serr := file.Stat()
	if serr != nil || info.Size() > MaxFile {
		return nil, errors.Join(err, file.Close())
	}
	data, unread := make([]byte, info.Size()), 0
	for at := 0; at < len(data); at += rescueBlock {
		block := data[at:min(at+rescueBlock, len(data))]
		if n, rerr := file.ReadAt(block, int64(at)); n < len(block) && rerr != nil && !errors.Is(rerr, io.EOF) {
			clear(block[n:])
			unread += len(block) - n
		}
	}
	if cerr := file.Close(); unread == len(data) || cerr != nil {
		return nil, err
	}
	c = contentsOf(path, scan(data))
	c.Unread = unread
	return c, nil
}

// rescueBlock is the least that a disk gives back or not, on nearly all of them.
const rescueBlock = 4096

func contentsOf(path string, s scanned) *Contents {
	c := &Contents{
		Path: path, Header: s.header, Records: s.records, Verdict: s.verdict,
		Faults: s.faults, Tail: s.data[s.end:],
	}
	if s.header != nil {
		for i := range c.Records {
			c.Records[i].Writer = s.header.Writer
		}
	}
	c.Words = wordsFor(c)
	return c
}

// wordsOf says what a file is, with its times in the zone asked for.
func (o Options) wordsOf(c *Contents) []string {
	if o.Zone == nil {
		return c.Words
	}
	return wordsFor(c.in(o.Zone))
}

// in is the same with its times in another zone, for words.
func (c *Contents) in(zone *time.Location) *Contents {
	there := *c
	there.Records = slices.Clone(c.Records)
	for i := range there.Records {
		there.Records[i].Wall = there.Records[i].Wall.In(zone)
	}
	return &there
}

// readFile reads a regular file of at most limit bytes. Links are refused: a
// log that came by mail or memory stick must not point elsewhere.
func readFile(fsys FS, path string, limit int64) ([]byte, error) {
	info, err := fsys.Lstat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is a %s, not an ordinary file: %w", path, modeWord(info.Mode()), ErrForeign)
	}
	if info.Size() > limit {
		return nil, fmt.Errorf("%s has %d MB, at most %d MB are read: %w", path, info.Size()>>20, limit>>20, ErrLimit)
	}
	file, err := fsys.OpenFile(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	data := make([]byte, info.Size())
	n, err := file.ReadAt(data, 0)
	if errors.Is(err, io.EOF) {
		err = nil
	}
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	return data[:n], err
}

func modeWord(m fs.FileMode) string {
	switch {
	case m&fs.ModeSymlink != 0:
		return "link"
	case m.IsDir():
		return "folder"
	}
	return "device"
}

// sealOf works out the seal over a header and the events behind it.
func sealOf(h Header, records []Record) SealMark {
	sum := sha256.New()
	sum.Write(h.Bytes)
	sum.Write([]byte{'\n'})
	for _, r := range records {
		sum.Write(r.Bytes)
		sum.Write([]byte{'\n'})
	}
	hash := hex.EncodeToString(sum.Sum(nil))
	return SealMark{Count: int64(len(records)) + 1, SHA256: hash, Short: hash[:12]}
}

// IsLogName reports whether a file name is that of a log: A-7f3c91d2.jsonl. The
// folder of a day is looked through for no others.
func IsLogName(name string) bool {
	if filepath.Ext(name) != ".jsonl" || len(name) != len("A-7f3c91d2.jsonl") || name[1] != '-' || name[0] < 'A' || name[0] > 'Z' {
		return false
	}
	for _, c := range []byte(name[2:10]) {
		if !isHex(c) {
			return false
		}
	}
	return true
}
