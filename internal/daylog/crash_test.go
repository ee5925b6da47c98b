package daylog_test

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"github.com/google/go-cmp/cmp"
)

// TestPowerCuts cuts the power after each operation of the day, with whatever
// part of the unflushed bytes the disk kept. No confirmed event is lost: the
// flush of the file and of the folder are what this needs. The control runs
// leave one of them out and must lose.
func TestPowerCuts(t *testing.T) {
	seeds := 3
	if long() {
		seeds = 300
	}
	cuts, lost := powerCuts(t, seeds, func(*logtest.Disk) {})
	t.Logf("%d power cuts: %d confirmed events lost", cuts, lost)
	if lost > 0 {
		t.Errorf("%d confirmed events lost in %d power cuts", lost, cuts)
	}
	for name, leave := range map[string]func(*logtest.Disk){
		"the file's flush":   func(d *logtest.Disk) { d.LeaveBytesUnflushed = true },
		"the folder's flush": func(d *logtest.Disk) { d.LeaveNamesUnflushed = true },
	} {
		cuts, lost := powerCuts(t, 3, leave)
		t.Logf("control without %s: %d cuts, %d confirmed events lost", name, cuts, lost)
		if lost == 0 {
			t.Errorf("a disk without %s lost nothing: the test sees nothing", name)
		}
	}
}

var errCut = errors.New("power cut")

func powerCuts(t testing.TB, seeds int, prepare func(*logtest.Disk)) (cuts, lost int) {
	t.Helper()
	for seed := range seeds {
		for at := 1; ; at++ {
			d, c := logtest.NewDisk(), logtest.NewClock(dawn)
			prepare(d)
			rng := rand.New(rand.NewPCG(uint64(seed), uint64(at)))
			var after *logtest.Disk
			n := 0
			pulled := false
			d.Fault = func(logtest.Call) error {
				if n++; n >= at {
					pulled = true
					return errCut
				}
				return nil
			}
			s := runDay(d, c, harms[seed%len(harms)])
			after = d.Cut(rng)
			if !pulled {
				break
			}
			cuts++
			lost += countLost(t, after, c, s)
		}
	}
	return cuts, lost
}

// countLost starts the day again on what the power cut left, taps once, and
// counts the confirmed events that are gone.
func countLost(t testing.TB, after *logtest.Disk, c *logtest.Clock, s *session) int {
	t.Helper()
	opt := options(77)
	opt.Fallback, opt.Suspect, opt.Header = []string{spare}, daylog.Keep, header()
	l, o, err := daylog.OpenDay(after, folder, "A", c, opt)
	if err != nil {
		return len(s.confirmed)
	}
	press(t, l, c, 1000)
	_ = l.Close()
	have := make(map[string]bool)
	for _, r := range o.Records {
		have[string(r.Bytes)] = true
	}
	lost := 0
	for _, r := range s.confirmed {
		if !have[string(r.Bytes)] {
			lost++
		}
	}
	return lost
}

// TestLeftUnflushed: an earlier program wrote a log and died before it flushed
// file or folder. What the next start shows as saved must be on the disk.
func TestLeftUnflushed(t *testing.T) {
	from, c, path := newDay(t, 6)
	d := logtest.NewDisk()
	d.Put(folder+"/other", nil) // the folder itself is there
	f, err := d.OpenFile(path, appendFlags)
	if err == nil {
		_, err = f.Write(from.Get(path))
	}
	if err != nil {
		t.Fatal(err)
	}
	l, o := resume(t, d, path, c, options(2))
	s := &session{confirmed: append(o.Records, press(t, l, c, 7))}
	if len(s.confirmed) != 9 {
		t.Fatalf("%d events", len(s.confirmed))
	}
	checkNothingLost(t, "left unflushed", d, s)
}

// TestRepairOrder: the bytes lie in a flushed side file before the end is cut,
// and the cut is flushed before anything is written behind it.
func TestRepairOrder(t *testing.T) {
	d, c, path := newDay(t, 4)
	d.Put(path, append(d.Get(path), `{"n":6,"k":"ba`...))
	d.Trace = true
	resume(t, d, path, c, options(2))
	var order []string
	for _, call := range d.Calls {
		switch call.Op {
		case logtest.OpWrite, logtest.OpSync, logtest.OpTruncate, logtest.OpSyncDir:
			name := strings.TrimRight(strings.TrimPrefix(call.Path, path), "0123456789")
			order = append(order, strings.TrimSuffix(string(call.Op)+" "+name, " "))
		}
	}
	want := []string{
		"write .torn-", "sync .torn-", "syncdir " + folder[:len(folder)-2], "truncate", "sync", // repair
		"sync", "syncdir " + folder[:len(folder)-2], "write", "sync", // what was there, then the opening event
	}
	if diff := cmp.Diff(want, order); diff != "" {
		t.Errorf("order of the repair: %s", diff)
	}
}
