package daylog_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

func sha256Hex(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// TestSpaceLamp: calm, warning under 200 MB, alarm under 20 MB.
func TestSpaceLamp(t *testing.T) {
	for _, k := range []struct {
		free  int64
		level daylog.Level
		words string
	}{
		{1 << 30, daylog.Calm, ""},
		{201 << 20, daylog.Calm, ""},
		{150 << 20, daylog.Warn, "150 MB free for the log. Make room soon."},
		{15 << 20, daylog.Alarm, "Only 15 MB free for the log. Make room now: delete or move other files."},
	} {
		d, c := logtest.NewDisk(), logtest.NewClock(dawn)
		d.Room = k.free + 2000
		l, err := daylog.Create(d, folder, header(), c, options(1))
		if err != nil {
			t.Fatal(err)
		}
		press(t, l, c, 1)
		if s := l.Space(); s.Level != k.level || s.Words != k.words {
			t.Errorf("%d MB free: %d %q", k.free>>20, s.Level, s.Words)
		}
	}
}

// TestBallast: real bytes lie beside the log; they are freed when the disk is
// full, and the tap is saved.
func TestBallast(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	d.Room = 40 << 20
	opt := options(1)
	opt.Ballast = 0
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	ballast := d.Get(folder + "/A.ballast")
	if len(ballast) != daylog.BallastSize || bytes.Count(ballast, []byte{0}) > len(ballast)/200 {
		t.Fatalf("ballast of %d bytes with %d zeros", len(ballast), bytes.Count(ballast, []byte{0}))
	}
	s := &session{}
	s.taps(l, c, 1, 5)
	used := 0
	for _, p := range d.Paths() {
		used += len(d.Get(p))
	}
	d.Put("/photos", make([]byte, 40<<20-used-60)) // room for half a line
	s.taps(l, c, 6, 500)
	if len(s.errs) > 0 || len(s.troubles) != 1 || d.Get(folder+"/A.ballast") != nil {
		t.Fatalf("errors %v, %d troubles", s.errs, len(s.troubles))
	}
	checkNothingLost(t, "full disk", d, s)
}

// TestSealRemovesBallast: a finished day leaves no ballast behind.
func TestSealRemovesBallast(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	opt := options(1)
	opt.Ballast = 5000
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Get(folder+"/A.ballast")) != 5000 {
		t.Error("no ballast")
	}
	if _, _, err := l.Seal(); err != nil {
		t.Fatal(err)
	}
	if d.Get(folder+"/A.ballast") != nil {
		t.Error("the ballast is still there")
	}
}

// TestSecondCopy: the copy follows the log, survives a stick that comes and
// goes, and never delays or fails a tap.
func TestSecondCopy(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	opt := options(1)
	opt.Second = "/stick/day"
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	copied := "/stick/day/" + filepath.Base(l.Path())
	same := func() bool { return bytes.Equal(d.Get(copied), d.Get(l.Path())) }
	s := &session{}
	s.taps(l, c, 1, 20)
	waitFor(t, "the copy is complete", same)
	waitFor(t, "the lamp is calm", func() bool { return l.Second().Level == daylog.Calm && l.Second().Behind == 0 })
	broken := true
	d.SetFault(func(call logtest.Call) error {
		if broken && strings.HasPrefix(call.Path, "/stick") {
			return logtest.ErrIO
		}
		return nil
	})
	s.taps(l, c, 21, 40)
	waitFor(t, "the lamp says so", func() bool { return l.Second().Level == daylog.Alarm })
	if w := l.Second().Words; w != "The second copy is not being written, the log itself is fine: input/output error (injected)." {
		t.Errorf("the lamp reads %q", w)
	}
	d.SetFault(nil)
	s.taps(l, c, 41, 42)
	waitFor(t, "the copy caught up", same)
	if len(s.troubles)+len(s.errs) > 0 || len(s.confirmed) != 42 {
		t.Errorf("the second copy got in the way: %v %v", s.troubles, s.errs)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if got := read(t, d, copied); got.Verdict != daylog.Clean || !same() {
		t.Errorf("the copy is %s", got.Verdict)
	}
}

// TestSecondCopyHangs: a stick that hangs for good delays no tap, and closing
// only for a second.
func TestSecondCopyHangs(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	stick := &hanging{FS: d, hang: make(chan struct{})}
	t.Cleanup(func() { close(stick.hang) })
	opt := options(1)
	opt.Second = "/stick"
	l, err := daylog.Create(stick, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	s, done := &session{}, make(chan struct{})
	go func() {
		defer close(done)
		s.taps(l, c, 1, 100)
	}()
	select {
	case <-done:
	case <-time.After(30 * time.Second):
		t.Fatal("the taps wait for the second copy")
	}
	if len(s.confirmed) != 100 {
		t.Errorf("%d taps confirmed", len(s.confirmed))
	}
	if l.Second().Behind == 0 {
		t.Error("the lamp does not say that the copy is behind")
	}
	start := time.Now()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 8*time.Second {
		t.Errorf("closing took %v", took)
	}
}

// hanging is a file system whose stick never answers.
type hanging struct {
	daylog.FS
	hang chan struct{}
}

func (h *hanging) OpenFile(name string, flag int) (daylog.File, error) {
	if strings.HasPrefix(name, "/stick") {
		<-h.hang
	}
	return h.FS.OpenFile(name, flag)
}

// TestSecondCopyKeepsOthers: a copy that holds more or other bytes than the log
// is left alone and the new one takes another name.
func TestSecondCopyKeepsOthers(t *testing.T) {
	d, c, path := newDay(t, 5)
	other := append(d.Get(path), "more\n"...)
	copied := "/stick/" + filepath.Base(path)
	d.Put(copied, other)
	opt := options(2)
	opt.Second = "/stick"
	l, _ := resume(t, d, path, c, opt)
	press(t, l, c, 1)
	waitFor(t, "the copy is complete", func() bool { return bytes.Equal(d.Get(copied+".copy2"), d.Get(path)) })
	if !bytes.Equal(d.Get(copied), other) {
		t.Error("the other copy was written")
	}
}

func waitFor(t testing.TB, what string, ok func() bool) {
	t.Helper()
	for range 10_000 {
		if ok() {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("after ten seconds it is not so that %s", what)
}
