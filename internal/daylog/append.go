package daylog

import (
	"errors"
	"fmt"
	"path/filepath"

	"floorpace/internal/units"
)

// ErrMoved: the file at the log's path is no longer the open one, or someone
// else wrote into it.
var ErrMoved = errors.New("the log file was moved, replaced or written by another program")

// Append saves one event: one line, one write, one flush. When it returns
// without an error the event is on disk, whatever happens next.
//
// body is a struct, a map or ready JSON: one object of flat fields (lists are
// fine, objects inside are not), without the names n k w m p c.
//
// Errors that wrap ErrBody or ErrTooLong: the event cannot be written as it
// is; nothing changed. After any write or flush error the file is never
// touched again; the log goes on in a new one and says so in Trouble, and the
// event counts as saved, under the number returned. Only when no folder takes
// the new file the error wraps ErrNotSaved: the event stays in memory and goes
// along with the next Append or Retry; do not append it again.
func (l *Log) Append(kind string, body any) (Record, Trouble, error) {
	b, err := bodyBytes(body)
	if err != nil {
		return Record{}, Trouble{}, fmt.Errorf("event %s: %w", kind, err)
	}
	if kind == KindOpened || kind == KindSealed || kind == KindKept {
		return Record{}, Trouble{}, fmt.Errorf("event kind %s is the log's own: %w", kind, ErrBody)
	}
	return l.save(kind, b)
}

func (l *Log) save(kind string, body []byte) (Record, Trouble, error) {
	at := l.clock.Now()
	r, err := l.make(kind, at, body)
	if err != nil {
		return Record{}, Trouble{}, err
	}
	var trouble Trouble
	l.watchSpace(at)
	if l.file == nil {
		err = ErrNotSaved
	} else if err = l.guard(); err == nil {
		err = l.put(r)
	}
	if err != nil {
		trouble, err = l.goOn(&r, err)
	}
	l.took = l.clock.Now().Mono - at.Mono
	l.second.wake(l.path, l.size)
	return r, trouble, err
}

// Retry tries to save events that are in memory only. Without any it does
// nothing.
func (l *Log) Retry() (Trouble, error) {
	if len(l.pending) == 0 {
		return Trouble{}, nil
	}
	trouble, err := l.goOn(nil, ErrNotSaved)
	l.second.wake(l.path, l.size)
	return trouble, err
}

// make encodes the next event without writing it. body is compact JSON.
func (l *Log) make(kind string, at Reading, body []byte) (Record, error) {
	at.Wall = toMillis(at.Wall)
	line, sum, err := encodeEvent(l.next, kind, at, body, l.sum)
	if err != nil {
		return Record{}, err
	}
	if len(body) == 0 {
		body = emptyBody
	}
	return Record{
		N: l.next, Kind: kind, Wall: at.Wall, Mono: at.Mono.Milliseconds(), Body: body,
		Writer: l.head.Writer, Prev: l.sum, Sum: sum, Bytes: line,
	}, nil
}

var emptyBody = []byte("{}")

// put writes and flushes an event that make made. On error the handle is dead:
// after a failed flush the system may report the next one as fine although
// the data is gone, so the file is closed and never used again.
func (l *Log) put(r Record) error {
	err := writeSync(l.file, append(r.Bytes, '\n')) // make left room for it
	if err != nil {
		l.drop()
		return err
	}
	l.size += int64(len(r.Bytes)) + 1
	l.advance(r)
	l.remember(r)
	return nil
}

// drop gives up the handle for good.
func (l *Log) drop() {
	if l.file != nil {
		_ = l.file.Close() // its error says nothing new
		l.file = nil
	}
}

// advance moves number and chain behind r.
func (l *Log) advance(r Record) { l.next, l.sum = r.N+1, r.Sum }

// remember keeps an event for the files to come; of one that carries another
// line, that line.
func (l *Log) remember(r Record) {
	if inner, ok := r.Kept(); ok {
		r = inner
	}
	if r.Kind != KindKept {
		l.held = append(l.held, r)
	}
}

// guard looks before each append: the open file must still be the file at its
// path and as long as we left it. (While it is open its identity cannot pass
// to another file, so the one taken at opening serves.)
func (l *Log) guard() error {
	ok, err := l.fs.StillAt(l.path, l.info, l.size)
	switch {
	case err != nil:
		err = fmt.Errorf("%w: %w", ErrMoved, err)
	case !ok:
		err = ErrMoved
	default:
		return nil
	}
	l.drop()
	return err
}

// goOn takes the log to a new file after cause, r (when not nil) being the
// event at hand, and repeats the day there, or its last events, as they stood.
func (l *Log) goOn(r *Record, cause error) (Trouble, error) {
	if r != nil {
		l.pending = append(l.pending, *r)
		l.advance(*r)
	}
	if isFull(cause) {
		l.freeBallast()
	}
	head, old, trouble := l.head, l.path, Trouble{Cause: cause}
	trouble.Suspect = l.suspects()
	head.From = l.head.Writer
	var tried []error
	for _, dir := range append([]string{l.home}, l.opt.Fallback...) {
		err := l.goOnIn(dir, head)
		if err != nil && isFull(err) && l.freeBallast() {
			err = l.goOnIn(dir, head)
		}
		if err == nil {
			for _, p := range l.pending {
				l.remember(p)
			}
			l.pending = nil
			trouble.File = l.path
			trouble.Words = wordsGoneOn(old, l.path, cause, trouble.Suspect)
			return trouble, nil
		}
		tried = append(tried, fmt.Errorf("%s: %w", dir, err))
	}
	trouble.Words = wordsNotSaved(len(l.pending), cause, tried)
	return trouble, fmt.Errorf("%w: %w", ErrNotSaved, errors.Join(append([]error{cause}, tried...)...))
}

func (l *Log) goOnIn(dir string, head Header) error {
	if err := mkdirAll(l.fs, dir); err != nil {
		return err
	}
	if err := l.lock(dir, head.Station+".lock"); err != nil {
		return err
	}
	return l.begin(dir, head, "dead handle")
}

// suspects are the taps to look at again: the last confirmed one, since some
// disks report the loss of earlier writes late, and those not saved yet.
func (l *Log) suspects() []Record {
	var s []Record
	if last := lastOf(l.held); len(last) > 0 {
		s = append(s, last[len(last)-1])
	}
	for _, r := range l.pending {
		if isTap(r.Kind) {
			s = append(s, r)
		}
	}
	return s
}

// keptBody carries another line whole.
type keptBody struct {
	ID   string `json:"id"`
	Line string `json:"line"`
}

// SealMark is the printable mark of a sealed log.
type SealMark struct {
	Count  int64  // lines before the seal, the header included
	SHA256 string // of those lines, a newline behind each; 64 hex
	Short  string // first 12 hex: printed on the day's record
}

type sealBody struct {
	Count int64  `json:"count"`
	Sum   string `json:"sha256"`
}

// Seal reads the file back, checks it and appends the sealing event. Events
// appended later are fine; a later seal covers them.
func (l *Log) Seal() (SealMark, Trouble, error) {
	if len(l.pending) > 0 || l.file == nil {
		return SealMark{}, Trouble{}, fmt.Errorf("seal %s: %s in memory only: %w", filepath.Base(l.path), units.Count(len(l.pending), "event is", "events are"), ErrNotSaved)
	}
	data, err := readFile(l.fs, l.path, MaxFile)
	if err != nil {
		return SealMark{}, Trouble{}, fmt.Errorf("seal: %w", err)
	}
	s := scan(data)
	if s.verdict != Clean || int64(len(s.records)) != l.next-1 {
		return SealMark{}, Trouble{}, fmt.Errorf("seal: %s does not read back as it was written (%s): run verify", l.path, s.verdict)
	}
	mark := sealOf(*s.header, s.records)
	body, err := marshal(sealBody{Count: mark.Count, Sum: mark.SHA256})
	if err != nil {
		return SealMark{}, Trouble{}, err
	}
	_, trouble, err := l.save(KindSealed, body)
	if err == nil {
		l.freeBallast()
	}
	return mark, trouble, err
}
