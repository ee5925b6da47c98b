package daylog

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"floorpace/internal/clean"
)

// ReadDay reads all logs of the given folders into one set: a day's own folder
// and those the log may have gone on in when its disk failed. A folder that
// does not exist holds nothing. Files that are damaged, and what cannot be read
// while the rest can, are named in the words, not errors.
func ReadDay(fsys FS, dirs ...string) (*Set, []string, error) {
	files, unread, err := readAll(fsys, dirs)
	if err != nil {
		return nil, nil, err
	}
	set, words := setOf(files)
	return set, append(words, unread...), nil
}

func setOf(files []*Contents) (*Set, []string) {
	set, words := NewSet(), []string(nil)
	for _, c := range files {
		if c.Verdict >= TornTail {
			for _, w := range c.Words {
				words = append(words, filepath.Base(c.Path)+": "+w)
			}
		}
		set.AddContents(c)
	}
	for _, c := range files { // now that all writers are known
		if c.Header == nil {
			adopt(set, c)
		}
	}
	return set, words
}

// readAll reads the logs of folders. A folder or file that its disk does not give
// back is named in words as long as there is any other: a day goes on without it.
func readAll(fsys FS, dirs []string) (files []*Contents, words []string, err error) {
	var errs []error
	for _, dir := range dirs {
		names, err := logNames(fsys, dir)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			errs = append(errs, err)
			words = append(words, fmt.Sprintf("The folder %s cannot be read now (%s): what was saved there is not shown.", clean.String(dir), reason(err)))
		}
		for _, name := range names {
			c, err := Read(fsys, filepath.Join(dir, name))
			if err != nil {
				errs = append(errs, err)
				words = append(words, fmt.Sprintf("%s cannot be read (%s): what stands only in it is not shown. Look for the second copy.", name, reason(err)))
				continue
			}
			files = append(files, c)
		}
	}
	if len(files) == 0 {
		return nil, nil, errors.Join(errs...)
	}
	return files, words, nil
}

// OpenDay goes on with a station's log in the folder of a day: the file that
// no other goes on from, of this installation before others. When that file
// lies in a fallback folder, or files beside it cannot be read, a new file in dir
// repeats the day.
// Records of the Opening are those of all files, in order, this session's
// opening event last. fs.ErrNotExist: the station has no file yet, Create one.
func OpenDay(fsys FS, dir, station string, clock Clock, opt Options) (*Log, *Opening, error) {
	files, unread, err := readAll(fsys, append([]string{dir}, opt.Fallback...))
	if err != nil {
		return nil, nil, fmt.Errorf("read the day: %w", err)
	}
	now := currentFile(files, station, opt.Install)
	if now == nil {
		return nil, nil, fmt.Errorf("station %s has no log in %s: %w", station, dir, fs.ErrNotExist)
	}
	set, _ := setOf(files)
	// What cannot be read may go on from this file with its next numbers.
	anew := len(unread) > 0
	l, o, err := openIn(fsys, dir, now, anew, set, clock, opt)
	for _, spare := range opt.Fallback {
		if err == nil || isAnswer(err) {
			break
		}
		// The folder of the day takes nothing now: better elsewhere than not.
		cause := err
		if l, o, err = openIn(fsys, spare, now, anew, set, clock, opt); err == nil {
			o.Words = append(o.Words, wordsElsewhere(l.path, cause))
		} else {
			err = fmt.Errorf("%w; nor in %s: %w", cause, spare, err)
		}
	}
	if o == nil {
		return l, o, err
	}
	for _, r := range o.Records {
		if r.Writer != "" {
			set.Add(r)
		}
	}
	if l != nil {
		set.heads[l.head.Writer] = l.head
		l.held = set.ofStation(station)
	}
	o.Records = openedLast(set.Records(nil), l)
	o.Last = lastOf(o.Records)
	o.Words = append(append(o.Words, unread...), wordsLacking(set.lacking())...)
	return l, o, err
}

// CreateDay begins a station's log in the folder of a day, or in the first
// fallback folder that takes it; the words say so then.
func CreateDay(fsys FS, dir string, h Header, clock Clock, opt Options) (*Log, []string, error) {
	l, err := Create(fsys, dir, h, clock, opt)
	for _, spare := range opt.Fallback {
		if err == nil || isAnswer(err) {
			break
		}
		cause := err
		if l, err = Create(fsys, spare, h, clock, opt); err == nil {
			return l, []string{wordsElsewhere(l.path, cause)}, nil
		}
		err = fmt.Errorf("%w; nor in %s: %w", cause, spare, err)
	}
	return l, nil, err
}

// openIn goes on with a file where it lies, or in a new file that repeats the day:
// in another folder, or when asked for.
func openIn(fsys FS, dir string, now *Contents, anew bool, set *Set, clock Clock, opt Options) (*Log, *Opening, error) {
	if now.Header != nil && (anew || filepath.Dir(now.Path) != filepath.Clean(dir)) {
		return repeatIn(fsys, dir, now, set, clock, opt)
	}
	return Open(fsys, now.Path, clock, opt)
}

// isAnswer reports whether an opening failed for what the file is or for who has
// it, so that another folder would not help.
func isAnswer(err error) bool {
	for _, is := range []error{ErrAsk, ErrLocked, ErrNewer, ErrForeign, ErrStartAgain, ErrBody, ErrTooLong, ErrLimit} {
		if errors.Is(err, is) {
			return true
		}
	}
	return false
}

// repeatIn begins a file in dir that goes on from one elsewhere and repeats all the
// station's events, since that may be on a stick soon pulled out.
func repeatIn(fsys FS, dir string, from *Contents, set *Set, clock Clock, opt Options) (*Log, *Opening, error) {
	o := &Opening{Verdict: from.Verdict, Words: opt.wordsOf(from), Header: *from.Header, Records: from.Records, Faults: from.Faults}
	l := newLog(fsys, clock, opt, dir)
	if err := mkdirAll(fsys, dir); err != nil {
		return nil, nil, err
	}
	l.held = set.ofStation(from.Header.Station)
	found := "fallback"
	if filepath.Dir(from.Path) == filepath.Clean(dir) {
		found = "unreadable file beside it"
	}
	if err := l.newFile(o, found); err != nil {
		l.drop()
		l.release()
		return nil, nil, err
	}
	l.afterOpen()
	return l, o, nil
}

// currentFile is the file of a station to go on with, nil when it has none.
func currentFile(files []*Contents, station, install string) *Contents {
	gone := make(map[string]bool) // writers that another file goes on from
	for _, c := range files {
		if c.Header != nil {
			gone[c.Header.From] = true
		}
	}
	var best *Contents
	bestRank := -1
	for _, c := range files {
		if filepath.Base(c.Path)[:1] != station {
			continue
		}
		rank := 0
		if h := c.Header; h != nil {
			rank = 1
			if !gone[h.Writer] {
				rank = 2
			}
			if rank == 2 && h.Install == install {
				rank = 3
			}
		}
		later := best != nil && best.Header != nil && c.Header != nil && c.Header.Wall.After(best.Header.Wall)
		if rank > bestRank || rank == bestRank && later {
			best, bestRank = c, rank
		}
	}
	return best
}

// openedLast moves this session's opening event to the end, where it belongs
// even when another station's clock is ahead of ours.
func openedLast(records []Record, l *Log) []Record {
	if l == nil {
		return records
	}
	for i := len(records) - 1; i >= 0; i-- {
		if r := records[i]; r.Kind == KindOpened && r.Writer == l.head.Writer {
			return append(append(records[:i:i], records[i+1:]...), r)
		}
	}
	return records
}
