package daylog_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// TestHandedOnAndGone: the log is handed on from file to file, then the folder with
// all earlier files is gone for good. The last file repeats the day, so nothing is
// missing and nothing is said to be: not at the start, in verify or in salvage.
func TestHandedOnAndGone(t *testing.T) {
	d, c := logtest.NewDisk(), logtest.NewClock(dawn)
	opt := options(1)
	opt.Fallback = []string{"/spare"}
	l, err := daylog.Create(d, folder, header(), c, opt)
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	tapped := func(fault func(logtest.Call) error) {
		t.Helper()
		want = append(want, string(press(t, l, c, len(want)).Body))
		d.SetFault(fault)
		c.Run(time.Second)
		r, trouble, err := l.Append("batch.poured", tap{Batch: 100 + len(want)})
		if err != nil || trouble.File == "" {
			t.Fatalf("%v, %+v", err, trouble)
		}
		want = append(want, string(r.Body))
		d.SetFault(nil)
	}
	for range 4 {
		tapped(logtest.Nth(logtest.OpSync, 1, false, errors.New("bad disk")))
	}
	tapped(func(call logtest.Call) error { // from now on only the spare folder takes anything
		if strings.HasPrefix(call.Path, folder) && call.Op != logtest.OpRead {
			return errors.New("no such device")
		}
		return nil
	})
	path := l.Path()
	if !strings.HasPrefix(path, "/spare/") {
		t.Fatalf("the log went on in %s", path)
	}
	_ = l.Close()

	all := func(records []daylog.Record) {
		t.Helper()
		at := 0
		for _, r := range records {
			if at < len(want) && string(r.Body) == want[at] {
				at++
			}
		}
		if at < len(want) {
			t.Errorf("tap %d of %d is not there: %s", at, len(want), want[at])
		}
	}
	v, err := daylog.Verify(d, path)
	if err != nil || v.Code != daylog.CodeSound || v.Missing != 0 {
		t.Errorf("verify: %v, %+v", err, v)
	}
	rep, err := daylog.Salvage(d, c, options(8), "/out/s.jsonl", path)
	if err != nil || rep.Missing != 0 || rep.Seals != 0 {
		t.Errorf("salvage: %v, %+v", err, rep)
	}
	opt.Fallback = []string{"/elsewhere"}
	l, o, err := daylog.OpenDay(d, "/spare", "A", c, opt)
	if err != nil || strings.Contains(strings.Join(o.Words, " "), "not here") {
		t.Fatalf("%v, the crew reads %q", err, o.Words)
	}
	all(o.Records)
	_ = l.Close()

	// Were the events of one file not repeated, it would be said.
	text := strings.Join(strings.Split(string(d.Get(path)), "\n")[:4], "\n") + "\n"
	d.Put("/short/A-00000000.jsonl", []byte(text))
	if v, err := daylog.Verify(d, "/short/A-00000000.jsonl"); err != nil || v.Code == daylog.CodeSound || v.Missing == 0 {
		t.Errorf("a file without what it goes on from: %v, %+v", err, v)
	}
}
