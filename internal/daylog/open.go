package daylog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrStartAgain: the file had no readable header and nothing else in it; it
// was put aside. Create a new log.
var ErrStartAgain = errors.New("a new log must be begun")

// Opening is what Open found and did.
type Opening struct {
	Verdict  Verdict
	Words    []string // plain sentences for the crew; none when nothing matters
	Header   Header   // of the file found; zero when unreadable
	Records  []Record // everything saved before, this session's opening event last
	Faults   []Fault
	Last     []Record // the last three taps of the crew, oldest first: shown so that nobody taps twice
	Lost     int      // bytes cut from the end
	Side     string   // file that keeps those bytes, or the whole file put aside
	Keepable bool     // a suspect last line can still be read
	Suspect  *Record  // that line, when readable
	NewFile  bool     // the log goes on in a new file
}

// shownLast is how many events are shown on resume.
const shownLast = 3

// Open opens a log to go on with it: lock, read, classify, repair or refuse,
// flush, append the opening event. The Opening is valid whenever it is not
// nil, with an error too. Verdicts that never let a file be continued (damage,
// another installation's file) go on in a new file in the same folder.
func Open(fsys FS, path string, clock Clock, opt Options) (*Log, *Opening, error) {
	dir := filepath.Dir(path)
	l := newLog(fsys, clock, opt, dir)
	if _, err := fsys.Lstat(path); err != nil {
		return nil, nil, fmt.Errorf("open the day log: %w", err)
	}
	if err := l.lock(dir, lockName(path)); err != nil {
		return nil, nil, err
	}
	o, err := l.open(path)
	if err != nil {
		l.drop()
		l.release()
		return nil, o, err
	}
	l.afterOpen()
	return l, o, nil
}

// lockName is one lock for all files of a station in a folder; a file of
// another name has a lock of its own.
func lockName(path string) string {
	base := filepath.Base(path)
	if IsLogName(base) {
		return base[:1] + ".lock"
	}
	return base + ".lock"
}

func (l *Log) open(path string) (*Opening, error) {
	data, err := readFile(l.fs, path, MaxFile)
	if errors.Is(err, ErrForeign) {
		return &Opening{Verdict: Foreign, Words: []string{"This is not a day log. It was not touched."}}, err
	}
	if err != nil {
		return nil, fmt.Errorf("read the day log: %w", err)
	}
	s := scan(data)
	c := contentsOf(path, s)
	c.Words = l.opt.wordsOf(c)
	o := &Opening{Verdict: c.Verdict, Words: c.Words, Records: c.Records, Faults: c.Faults, Last: lastOf(c.Records)}
	if c.Header != nil {
		o.Header = *c.Header
	}
	switch c.Verdict {
	case Foreign:
		return o, fmt.Errorf("%s: %w", path, ErrForeign)
	case Newer:
		return o, fmt.Errorf("%s: version %d, this program knows %d: %w", path, c.Header.Version, Version, ErrNewer)
	case TornCreation:
		return o, l.startAgain(path, o)
	case DamagedTail, DamagedMiddle:
		return o, l.newFile(o, c.Verdict.String())
	}
	if l.opt.Install != "" && o.Header.Install != l.opt.Install {
		o.Words = append(o.Words, "This log was begun on another machine. It stays as it is; the log goes on in a new file.")
		return o, l.newFile(o, "other installation")
	}
	if err := l.repair(path, s, o); err != nil {
		return o, err
	}
	return o, l.resume(path, s, o)
}

// startAgain puts a file without content aside and, when a header is at hand,
// begins a new one.
func (l *Log) startAgain(path string, o *Opening) error {
	side, err := freeName(l.fs, path+".torn-0")
	if err != nil {
		return err
	}
	if err := l.fs.Rename(path, side); err != nil {
		return fmt.Errorf("put %s aside: %w", path, err)
	}
	if err := l.fs.SyncDir(l.home); err != nil {
		return fmt.Errorf("put %s aside: %w", path, err)
	}
	o.Side = side
	if l.opt.Header.Station == "" {
		return fmt.Errorf("%s: %w", path, ErrStartAgain)
	}
	return l.newFile(o, TornCreation.String())
}

// newFile goes on in a new file next to one that is not continued.
func (l *Log) newFile(o *Opening, found string) error {
	head := l.opt.Header
	if o.Header.Station != "" {
		head = o.Header
	}
	if head.Station == "" {
		return fmt.Errorf("the line with the plan is unreadable: give the plan again: %w", ErrStartAgain)
	}
	head.From = o.Header.Writer
	if l.opt.Install == "" {
		l.opt.Install = head.Install
	}
	if err := l.lock(l.home, head.Station+".lock"); err != nil {
		return err
	}
	if err := l.begin(l.home, head, found); err != nil {
		return fmt.Errorf("go on in a new file: %w", err)
	}
	o.NewFile = true
	return l.readOwn(o)
}

// readOwn adds what the new file holds (the opening event) to the records.
func (l *Log) readOwn(o *Opening) error {
	c, err := Read(l.fs, l.path)
	if err != nil {
		return fmt.Errorf("read back the new file: %w", err)
	}
	o.Records = append(o.Records, c.Records...)
	return nil
}

// repair mends newlines and cuts a torn or suspect end, after copying what it
// cuts. Each step leaves the file as good as before or better, so it can be
// interrupted anywhere and done again.
func (l *Log) repair(path string, s scanned, o *Opening) error {
	if s.verdict == SuspectLast {
		o.Suspect, o.Keepable = readSuspect(s)
		if !o.Keepable {
			o.Words = append(o.Words, "That line cannot be read any more, so it can only be dropped.")
		}
		if l.opt.Suspect == Ask {
			return fmt.Errorf("%s: %w", path, ErrAsk)
		}
	}
	if s.verdict == TornTail || s.verdict == SuspectLast {
		tail := s.data[s.end:]
		side, err := l.copyAside(fmt.Sprintf("%s.torn-%d", path, s.end), tail)
		if err != nil {
			return fmt.Errorf("copy the unfinished end of %s aside: %w", path, err)
		}
		o.Side, o.Lost = side, len(tail)
		if err := l.cut(path, int64(s.end)); err != nil {
			return fmt.Errorf("cut the unfinished end of %s: %w", path, err)
		}
		s.data = s.data[:s.end]
	}
	if err := l.mend(path, s); err != nil {
		return fmt.Errorf("mend the newlines of %s: %w", path, err)
	}
	return nil
}

// mend writes the file anew with right newlines; the old one is there until
// the new one is on disk. The usual case, only the last newline missing, is
// one byte.
func (l *Log) mend(path string, s scanned) error {
	right := canonical(s)
	if bytes.Equal(right, s.data) {
		return nil
	}
	if len(right) == len(s.data)+1 && bytes.Equal(right[:len(s.data)], s.data) {
		file, err := l.fs.OpenFile(path, os.O_WRONLY|os.O_APPEND)
		if err != nil {
			return err
		}
		err = writeSync(file, []byte{'\n'})
		if cerr := file.Close(); err == nil {
			err = cerr
		}
		return err
	}
	return writeWhole(l.fs, path, right)
}

// canonical is the file as it should be: header, events, a newline each.
func canonical(s scanned) []byte {
	b := make([]byte, 0, len(s.data)+len(s.records)+1)
	b = append(append(b, s.header.Bytes...), '\n')
	for _, r := range s.records {
		b = append(append(b, r.Bytes...), '\n')
	}
	return b
}

// writeWhole replaces a file in one step: temporary file beside it, write,
// flush, rename, flush the folder.
func writeWhole(fsys FS, path string, b []byte) error {
	temp := path + ".part"
	file, err := fsys.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	err = writeSync(file, b)
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = fsys.Rename(temp, path)
	}
	if err != nil {
		_ = fsys.Remove(temp)
		return err
	}
	return fsys.SyncDir(filepath.Dir(path))
}

// copyAside keeps bytes in a file of their own before they are cut. A copy
// that an interrupted repair left already is used.
func (l *Log) copyAside(name string, b []byte) (string, error) {
	if have, err := readFile(l.fs, name, MaxFile); err == nil && bytes.Equal(have, b) {
		return name, nil
	}
	name, err := freeName(l.fs, name)
	if err != nil {
		return "", err
	}
	file, err := l.fs.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL)
	if err != nil {
		return "", err
	}
	err = writeSync(file, b)
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = l.fs.SyncDir(filepath.Dir(name))
	}
	return name, err
}

// freeName is name, or name with a number when that is taken.
func freeName(fsys FS, name string) (string, error) {
	for try, free := 1, name; try < 1000; try++ {
		_, err := fsys.Lstat(free)
		if errors.Is(err, fs.ErrNotExist) {
			return free, nil
		}
		if err != nil {
			return "", err
		}
		free = fmt.Sprintf("%s-%d", name, try)
	}
	return "", fmt.Errorf("%s: too many copies; move them elsewhere", name)
}

func (l *Log) cut(path string, size int64) error {
	file, err := l.fs.OpenFile(path, os.O_RDWR)
	if err != nil {
		return err
	}
	if err = file.Truncate(size); err == nil {
		err = file.Sync()
	}
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	return err
}

// readSuspect reads a last line whose checksum is wrong, in case the damage is
// in the checksum or harmless: the form must be right in all else.
func readSuspect(s scanned) (*Record, bool) {
	line := bytes.TrimSuffix(s.data[s.end:], []byte("\n"))
	if len(line) < tailLen {
		return nil, false
	}
	last := Record{Sum: s.header.Sum}
	if n := len(s.records); n > 0 {
		last = s.records[n-1]
	}
	fixed, _ := appendTail(bytes.Clone(line[:len(line)-tailLen]), 0, last.Sum)
	r, err := ParseLine(fixed)
	if err != nil || r.N != last.N+1 {
		return nil, false
	}
	r.Writer = s.header.Writer
	return &r, true
}

// resume opens the mended file for appending, flushes what an earlier program
// may have left unflushed, and writes the opening event.
func (l *Log) resume(path string, s scanned, o *Opening) error {
	file, err := l.fs.OpenFile(path, os.O_RDWR|os.O_APPEND)
	if err != nil {
		return fmt.Errorf("open %s to write: %w", path, err)
	}
	l.head, l.path, l.file = *s.header, path, file
	l.sum = s.header.Sum
	l.next = lastNumber(s.records) + 1
	if n := len(s.records); n > 0 {
		l.sum = s.records[n-1].Sum
	}
	if err = file.Sync(); err == nil {
		err = l.fs.SyncDir(l.home)
	}
	if err != nil {
		return fmt.Errorf("flush %s: %w", path, err)
	}
	if l.info, err = file.Stat(); err != nil {
		return fmt.Errorf("look at %s: %w", path, err)
	}
	l.size = l.info.Size()
	for _, r := range s.records {
		r.Writer = l.head.Writer
		l.remember(r)
	}
	return l.firstLines(o)
}

// firstLines writes a suspect line that is to be kept, then the opening event.
func (l *Log) firstLines(o *Opening) error {
	if o.Suspect != nil && l.opt.Suspect == Keep {
		r := *o.Suspect
		if err := l.put(r); err != nil {
			return fmt.Errorf("write the kept tap again: %w", err)
		}
		o.Records = append(o.Records, r)
		o.Last = lastOf(o.Records)
	}
	r, err := l.makeOpened(o.Verdict.String(), 0)
	if err == nil {
		err = l.put(r)
	}
	if err != nil {
		return fmt.Errorf("write the opening event: %w", err)
	}
	o.Records = append(o.Records, r)
	return nil
}

// lastOf are the crew's last taps, oldest first.
func lastOf(records []Record) []Record {
	var last []Record
	for i := len(records) - 1; i >= 0 && len(last) < shownLast; i-- {
		r := records[i]
		if inner, ok := r.Kept(); ok {
			r = inner
		}
		if isTap(r.Kind) {
			last = append([]Record{r}, last...)
		}
	}
	return last
}
