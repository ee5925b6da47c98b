package daylog

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// Follower reads a log while another program writes it. It holds nothing open
// between polls and takes no lock.
type Follower struct {
	fs     FS
	path   string
	info   fs.FileInfo
	header *Header
	offset int64 // behind the last verified line
	last   int64
	sum    uint32
	d      decoder
}

// Follow starts to follow a log from its first line.
func Follow(fsys FS, path string) *Follower { return &Follower{fs: fsys, path: path} }

// Header is the log's header once a poll has read it.
func (f *Follower) Header() (Header, bool) {
	if f.header == nil {
		return Header{}, false
	}
	return *f.header, true
}

// Poll returns the events that came since the last poll. A line still being
// written stays for the next one. An error that wraps ErrLine means damage
// ahead of sound lines: everything readable behind it was returned as well.
func (f *Follower) Poll() ([]Record, error) {
	info, err := f.fs.Lstat(f.path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is a %s, not a day log: %w", f.path, modeWord(info.Mode()), ErrForeign)
	}
	if f.info != nil && (!f.fs.SameFile(f.info, info) || info.Size() < f.offset) {
		f.offset = 0 // mended or replaced: read again, known numbers are passed over
	}
	f.info = info
	if info.Size() == f.offset {
		return nil, nil
	}
	if info.Size() > MaxFile {
		return nil, fmt.Errorf("%s: %w", f.path, ErrLimit)
	}
	data, err := readGrowing(f.fs, f.path, f.offset, info.Size()-f.offset)
	if err != nil {
		return nil, err
	}
	return f.take(data)
}

// readGrowing is readPart for a file that may be cut meanwhile.
func readGrowing(fsys FS, path string, from, n int64) ([]byte, error) {
	file, err := fsys.OpenFile(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	b := make([]byte, n)
	got, err := file.ReadAt(b, from)
	if errors.Is(err, io.EOF) {
		err = nil
	}
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	return b[:got], err
}

func (f *Follower) take(data []byte) ([]Record, error) {
	if f.header == nil || f.offset == 0 {
		return f.takeWhole(data)
	}
	s := scanner{scanned: scanned{data: data, header: f.header}, last: f.last, sum: f.sum, junk: -1, d: f.d}
	s.run()
	f.d = s.d
	f.offset += int64(s.end)
	return f.report(s)
}

// takeWhole reads from the first line.
func (f *Follower) takeWhole(data []byte) ([]Record, error) {
	s := scanner{scanned: scanned{data: data}, last: -1, junk: -1, d: f.d}
	s.run()
	f.d = s.d
	if s.header == nil {
		if len(s.records) > 0 {
			return nil, fmt.Errorf("%s: its header is damaged: %w", f.path, ErrLine)
		}
		if looksOurs(data) {
			return nil, nil // still being begun
		}
		return nil, fmt.Errorf("%s: %w", f.path, ErrForeign)
	}
	known := f.last
	if f.header == nil || f.header.Writer != s.header.Writer {
		known = 0
	}
	f.header, f.offset = s.header, int64(s.end)
	records := s.records
	for len(records) > 0 && records[0].N <= known {
		records = records[1:]
	}
	s.records = records
	return f.report(s)
}

func (f *Follower) report(s scanner) ([]Record, error) {
	if s.last >= 0 {
		f.last, f.sum = s.last, s.sum
	}
	for i := range s.records {
		s.records[i].Writer = f.header.Writer
	}
	if s.stray {
		return s.records, fmt.Errorf("%s has damaged lines ahead of line %d: run verify: %w", f.path, s.last+1, ErrLine)
	}
	return s.records, nil
}

// DayFollower follows all logs of a day, also those that appear later.
type DayFollower struct {
	fs    FS
	dirs  []string
	files map[string]*Follower // by path
	set   *Set
}

// FollowDay starts to follow the logs of a day in its folder, and in those it may
// go on in when its disk fails; the latter need not be there.
func FollowDay(fsys FS, dir string, fallback ...string) *DayFollower {
	return &DayFollower{fs: fsys, dirs: append([]string{dir}, fallback...), files: make(map[string]*Follower), set: NewSet()}
}

// FollowFile starts to follow one file of any name and nothing beside it.
func FollowFile(fsys FS, path string) *DayFollower {
	return &DayFollower{fs: fsys, files: map[string]*Follower{path: Follow(fsys, path)}, set: NewSet()}
}

// Poll reads what is new and reports whether anything is. Errors of single
// files are joined; the others are read all the same.
func (f *DayFollower) Poll() (grew bool, err error) {
	var errs []error
	for i, dir := range f.dirs {
		names, err := logNames(f.fs, dir)
		if i == 0 || !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
		for _, name := range names {
			if path := filepath.Join(dir, name); f.files[path] == nil {
				f.files[path] = Follow(f.fs, path)
			}
		}
	}
	for _, path := range slices.Sorted(maps.Keys(f.files)) {
		records, err := f.files[path].Poll()
		errs = append(errs, err)
		if h, ok := f.files[path].Header(); ok {
			f.set.heads[h.Writer] = h
		}
		for _, r := range records {
			grew = f.set.Add(r) || grew
		}
	}
	return grew, errors.Join(errs...)
}

// Set is everything read so far. The caller must not change it.
func (f *DayFollower) Set() *Set { return f.set }

// logNames are the logs of a folder, sorted.
func logNames(fsys FS, dir string) ([]string, error) {
	entries, err := fsys.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if e.Type().IsRegular() && IsLogName(e.Name()) {
			names = append(names, e.Name())
		}
	}
	if len(names) > MaxFiles {
		return nil, fmt.Errorf("%s holds %d logs, at most %d are read: %w", dir, len(names), MaxFiles, ErrLimit)
	}
	return names, nil
}
