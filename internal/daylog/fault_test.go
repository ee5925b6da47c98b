package daylog_test

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

const spare = "/spare/2026-05-04"

// session is what one run of a scenario confirmed to the crew.
type session struct {
	confirmed []daylog.Record
	troubles  []daylog.Trouble
	errs      []error
}

// runDay is a whole day on a disk that may fail: create, tap, stop without
// closing, start again, tap, seal. Errors end a part, not the day.
func runDay(d *logtest.Disk, c *logtest.Clock, harm string) *session {
	s := &session{}
	opt := options(1)
	opt.Ballast = 1000
	opt.Fallback = []string{spare}
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		s.errs = append(s.errs, err)
		return s
	}
	path := l.Path()
	s.taps(l, c, 1, 10)
	_ = l.Close()
	if data := d.Get(path); len(data) > 60 && !d.LeaveBytesUnflushed && !d.LeaveNamesUnflushed && d.Lives(path) {
		d.Put(path, harmed(data, harm))
	}
	opt2 := options(2)
	opt2.Fallback = []string{spare}
	opt2.Suspect, opt2.Ballast = daylog.Keep, 1000
	l, o, err := daylog.OpenDay(d, folder, "A", c, opt2)
	if err != nil {
		s.errs = append(s.errs, err)
		return s
	}
	for _, r := range s.confirmed {
		if !slices.ContainsFunc(o.Records, func(x daylog.Record) bool { return bytes.Equal(x.Bytes, r.Bytes) }) {
			s.errs = append(s.errs, fmt.Errorf("the start does not show event %d", r.N))
		}
	}
	s.taps(l, c, 11, 15)
	if _, t, err := l.Seal(); err != nil {
		s.errs = append(s.errs, err)
	} else if !t.None() {
		s.troubles = append(s.troubles, t)
	}
	_ = l.Close()
	return s
}

// harms are what the second start of runDay meets.
var harms = []string{"torn end", "wrong newlines", "suspect end"}

func harmed(data []byte, harm string) []byte {
	switch harm {
	case "torn end":
		return append(data, data[len(data)-60:len(data)-20]...)
	case "wrong newlines":
		return bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n"))
	}
	return append(data, "{\"n\":99,\"k\":\"note.written\"}\n"...)
}

func (s *session) taps(l *daylog.Log, c *logtest.Clock, from, to int) {
	var waiting []daylog.Record
	for i := from; i <= to; i++ {
		c.Run(7 * time.Second)
		r, t, err := l.Append("batch.started", tap{Batch: i, Mixer: 1})
		if !t.None() {
			s.troubles = append(s.troubles, t)
		}
		if err != nil {
			s.errs = append(s.errs, err)
			if errors.Is(err, daylog.ErrNotSaved) {
				waiting = append(waiting, r)
			}
			continue
		}
		s.confirmed = append(append(s.confirmed, waiting...), r)
		waiting = nil
	}
}

// TestNthFailure lets every operation of the day fail, one after the other,
// once and from then on for ever. Whatever fails, no confirmed event is lost in
// a power cut at the end, no dead handle is used again, and the crew is told.
func TestNthFailure(t *testing.T) {
	ops := []logtest.Op{
		logtest.OpWrite, logtest.OpSync, logtest.OpTruncate, logtest.OpOpen, logtest.OpSyncDir,
		logtest.OpMkdir, logtest.OpStat, logtest.OpRead, logtest.OpLock, logtest.OpRename, logtest.OpRemove,
	}
	runs, hits := 0, map[logtest.Op]int{}
	for _, k := range failureKinds(ops) {
		for n := 1; ; n++ {
			d, c := logtest.NewDisk(), logtest.NewClock(dawn)
			d.Trace = true
			d.Fault = logtest.Nth(k.op, n, k.forever, logtest.ErrIO)
			s := runDay(d, c, k.harm)
			if !slices.ContainsFunc(d.Calls, func(c logtest.Call) bool { return c.Err != nil }) {
				break // the day has fewer such operations
			}
			runs++
			hits[k.op]++
			name := fmt.Sprintf("%s: %s %d, for ever %v", k.harm, k.op, n, k.forever)
			d.Fault = nil
			checkNothingLost(t, name, d, s)
			checkDeadHandles(t, name, d.Calls)
		}
	}
	t.Logf("%d days with a failing disk: %v", runs, hits)
	for _, op := range ops {
		if hits[op] < 2 {
			t.Errorf("%s was never made to fail", op)
		}
	}
}

type failureKind struct {
	op      logtest.Op
	forever bool
	harm    string
}

func failureKinds(ops []logtest.Op) (kinds []failureKind) {
	for _, op := range ops {
		for _, harm := range harms {
			kinds = append(kinds, failureKind{op, false, harm}, failureKind{op, true, harm})
		}
	}
	return kinds
}

// checkNothingLost cuts the power and looks for every confirmed line.
func checkNothingLost(t testing.TB, name string, d *logtest.Disk, s *session) {
	t.Helper()
	after := d.Cut(nil)
	set, _, err := daylog.ReadDay(after, folder, spare)
	if err != nil {
		t.Errorf("%s: reading the day: %v", name, err)
		return
	}
	have := make(map[string]bool)
	for _, r := range set.Records(nil) {
		have[string(r.Bytes)] = true
	}
	for _, r := range s.confirmed {
		if !have[string(r.Bytes)] {
			t.Errorf("%s: confirmed event %d of %.8s is lost (errors %v)", name, r.N, r.Writer, s.errs)
		}
	}
	for _, err := range s.errs {
		if strings.Contains(err.Error(), "does not show") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := len(set.Forks()); n > 0 {
		t.Errorf("%s: %d forks", name, n)
	}
	batches := map[string]int{}
	for _, r := range set.Records(nil) {
		var b int
		if r.Kind == "batch.started" && r.Field("batch", &b) {
			batches[fmt.Sprint(b)]++
		}
	}
	for b, n := range batches {
		if n > 1 {
			t.Errorf("%s: batch %s counts %d times", name, b, n)
		}
	}
}

// checkDeadHandles looks for a write, flush or cut through a handle that had
// failed before.
func checkDeadHandles(t testing.TB, name string, calls []logtest.Call) {
	t.Helper()
	dead := make(map[int]logtest.Call)
	for _, c := range calls {
		if c.Handle == 0 || c.Op == logtest.OpRead || c.Op == logtest.OpOpen {
			continue
		}
		if first, ok := dead[c.Handle]; ok {
			t.Errorf("%s: %s on a handle whose %s had failed", name, c.Op, first.Op)
		}
		if c.Err != nil {
			dead[c.Handle] = c
		}
	}
}

// TestDeadHandle tells the story of one failed flush: the file is not touched
// again, the log goes on in a new file, the event counts once and the crew is
// told to check the last taps.
func TestDeadHandle(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	l, err := daylog.Create(d, folder, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	var all []daylog.Record
	for i := range 12 {
		all = append(all, press(t, l, c, i))
	}
	old := l.Path()
	d.Trace = true
	d.Fault = logtest.Nth(logtest.OpSync, 1, false, logtest.ErrIO)
	c.Run(time.Second)
	r, trouble, err := l.Append("batch.started", tap{Batch: 99})
	if err != nil || trouble.File != l.Path() || l.Path() == old {
		t.Fatalf("%v, %+v", err, trouble)
	}
	if r.Writer != all[0].Writer || r.N != all[len(all)-1].N+1 {
		t.Errorf("the event is %d of %s", r.N, r.Writer)
	}
	if len(trouble.Suspect) != 2 || trouble.Suspect[0].N != all[11].N || trouble.Suspect[1].N != r.N {
		t.Errorf("suspect taps %s", numbers(trouble.Suspect))
	}
	want := []string{
		"The log goes on in " + trouble.File[len(folder)+1:] + ": its disk reported an error (input/output error (injected)).",
		"Check the last taps: batch mixed 05:03:35, batch started 05:03:36.",
	}
	if fmt.Sprint(trouble.Words) != fmt.Sprint(want) {
		t.Errorf("the crew reads %q\nwant %q", trouble.Words, want)
	}
	after := press(t, l, c, 100)
	checkDeadHandles(t, "one flush", d.Calls)
	for _, call := range d.Calls {
		if call.Path == old && call.Op == logtest.OpSync && call.Err == nil {
			t.Error("the dead file was flushed again")
		}
	}
	kept := 0
	for _, r := range read(t, d, l.Path()).Records {
		if r.Kind == daylog.KindKept {
			kept++
		}
	}
	if kept != 9 {
		t.Errorf("the new file repeats %d events, want the last 8 and the one at hand", kept)
	}
	s := &session{confirmed: append(append(all, r), after)}
	checkNothingLost(t, "one flush", d, s)
}

// TestNowhereToWrite: while no folder takes a file the taps stay in memory, in
// order, and are saved by the first chance; the banner says to write them down.
func TestNowhereToWrite(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	l, err := daylog.Create(d, folder, header(), c, options(1))
	if err != nil {
		t.Fatal(err)
	}
	s := &session{confirmed: []daylog.Record{press(t, l, c, 1)}}
	d.Fault = logtest.Nth(logtest.OpWrite, 1, true, logtest.ErrIO)
	for i := range 5 {
		c.Run(time.Second)
		r, trouble, err := l.Append("batch.started", tap{Batch: 10 + i})
		if !errors.Is(err, daylog.ErrNotSaved) || l.Pending() != i+1 || r.N != int64(3+i) {
			t.Fatalf("tap %d: %v, %d pending, number %d", i, err, l.Pending(), r.N)
		}
		if !strings.HasPrefix(trouble.Words[0], "NOT SAVED: ") {
			t.Errorf("the crew reads %q", trouble.Words)
		}
		s.confirmed = append(s.confirmed, r)
	}
	if _, _, err := l.Seal(); !errors.Is(err, daylog.ErrNotSaved) {
		t.Errorf("sealing with taps in memory: %v", err)
	}
	if _, err := l.Retry(); !errors.Is(err, daylog.ErrNotSaved) {
		t.Errorf("retry: %v", err)
	}
	if got := len(d.Paths()); got > 2 { // the log and its lock are no files here
		t.Errorf("failed attempts left %v", d.Paths())
	}
	d.Fault = nil
	trouble, err := l.Retry()
	if err != nil || l.Pending() != 0 || trouble.File == "" {
		t.Fatalf("%v, %d pending", err, l.Pending())
	}
	s.confirmed = append(s.confirmed, press(t, l, c, 2))
	checkNothingLost(t, "nowhere to write", d, s)
}

// TestMovedFile: the log's file is renamed, deleted, replaced or written by
// another program between two taps; the next tap is in a file with the right
// name. This is the guard that looks before each append.
func TestMovedFile(t *testing.T) {
	for name, harm := range map[string]func(d *logtest.Disk, path string) error{
		"renamed":   func(d *logtest.Disk, path string) error { return d.Rename(path, path+".old") },
		"deleted":   func(d *logtest.Disk, path string) error { return d.Remove(path) },
		"replaced":  func(d *logtest.Disk, path string) error { d.Put(path, d.Get(path)); return nil },
		"written":   func(d *logtest.Disk, path string) error { return scribble(d, path, "x") },
		"truncated": func(d *logtest.Disk, path string) error { return shorten(d, path) },
	} {
		d, c := logtest.NewDisk(), logtest.NewClock(dawn)
		l, err := daylog.Create(d, folder, header(), c, options(1))
		if err != nil {
			t.Fatal(err)
		}
		var all []daylog.Record
		for i := range 20 { // far more than a new file beside a sound one repeats
			all = append(all, press(t, l, c, i))
		}
		old := l.Path()
		if err := harm(d, old); err != nil {
			t.Fatal(err)
		}
		c.Run(time.Second)
		r, trouble, err := l.Append("batch.started", tap{Batch: 20})
		if err != nil || trouble.None() || !errors.Is(trouble.Cause, daylog.ErrMoved) || l.Path() == old {
			t.Errorf("%s: %v, %+v", name, err, trouble)
			continue
		}
		checkNothingLost(t, name, d, &session{confirmed: append(all, r, press(t, l, c, 21))})
	}
}

func scribble(d *logtest.Disk, path, text string) error {
	f, err := d.OpenFile(path, appendFlags)
	if err == nil {
		_, err = f.Write([]byte(text))
	}
	return err
}

func shorten(d *logtest.Disk, path string) error {
	f, err := d.OpenFile(path, appendFlags)
	if err == nil {
		err = f.Truncate(10)
	}
	return err
}

// TestUnreadableFile: a file of the day that its disk does not give back does not
// keep the day from going on. It may hold the next numbers of the file it goes on
// from, so neither is continued: once all can be read again, nothing is there in
// two versions and nothing is lost.
func TestUnreadableFile(t *testing.T) {
	d, c, _ := newDay(t, 3)
	l, _, err := daylog.OpenDay(d, folder, "A", c, options(2))
	if err != nil {
		t.Fatal(err)
	}
	press(t, l, c, 3)
	first := l.Path()
	d.SetFault(logtest.Nth(logtest.OpSync, 1, false, errors.New("bad disk")))
	c.Run(time.Second)
	if _, trouble, err := l.Append("batch.poured", tap{Batch: 4}); err != nil || trouble.File == "" {
		t.Fatalf("%v, %+v", err, trouble)
	}
	press(t, l, c, 5)
	second := l.Path()
	_ = l.Close()

	d.SetFault(func(call logtest.Call) error {
		if call.Op == logtest.OpRead && call.Path == second {
			return errors.New("bad sector")
		}
		return nil
	})
	l, o, err := daylog.OpenDay(d, folder, "A", c, options(3))
	if err != nil {
		t.Fatal(err)
	}
	if p := l.Path(); p == first || p == second {
		t.Errorf("goes on in %s", p)
	}
	if w := strings.Join(o.Words, " "); !strings.Contains(w, filepath.Base(second)+" cannot be read (bad sector)") {
		t.Errorf("the crew reads %q", o.Words)
	}
	press(t, l, c, 6)
	press(t, l, c, 7)
	_ = l.Close()
	d.SetFault(nil)

	set, words, err := daylog.ReadDay(d, folder)
	if err != nil || len(words) > 0 || len(set.Forks()) > 0 {
		t.Errorf("%v, %q, %d events in two versions", err, words, len(set.Forks()))
	}
	got := map[string]bool{}
	for _, r := range set.Records(nil) {
		got[string(r.Body)] = true
	}
	for i := 1; i < 8; i++ {
		want := fmt.Sprintf(`{"batch":%d,"mixer":%d}`, i, 1+i%3)
		if i == 4 {
			want = `{"batch":4,"mixer":0}`
		}
		if !got[want] {
			t.Errorf("tap %d is lost: %v", i, got)
		}
	}

	d.SetFault(logtest.Nth(logtest.OpRead, 1, true, errors.New("bad sector")))
	if _, _, err := daylog.OpenDay(d, folder, "A", c, options(4)); err == nil || !strings.Contains(err.Error(), "bad sector") {
		t.Errorf("with nothing to read: %v", err)
	}
}
