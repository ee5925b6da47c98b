package daylog_test

import (
	"errors"
	"io/fs"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"
)

// soak is a console on a bad computer.
type soak struct {
	t     testing.TB
	rng   *rand.Rand
	disk  *logtest.Disk
	clock *logtest.Clock
	log   *daylog.Log
	seed  uint64
	sound bool  // no more faults
	why   error // why the last start failed

	confirmed []daylog.Record
	pending   []daylog.Record
	faults    int
	restarts  int
	cuts      int
}

// TestSoak runs twelve hours in fake time, a tap every few seconds, on a disk
// that fails now and then in every way, with restarts and power cuts: no
// confirmed event is lost and no goroutine is left.
func TestSoak(t *testing.T) {
	days, lasts := uint64(1), 12*time.Hour
	switch {
	case long():
		days = 25
	case raceOn: // fifteen times as slow, and a race shows as well in half the time
		lasts = 6 * time.Hour
	}
	before := runtime.NumGoroutine()
	for seed := range days {
		soakDay(t, seed, lasts)
	}
	for range 500 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Errorf("%d goroutines before, %d after", before, runtime.NumGoroutine())
}

func soakDay(t testing.TB, seed uint64, lasts time.Duration) {
	s := &soak{t: t, rng: rand.New(rand.NewPCG(seed, 12)), disk: logtest.NewDisk(), clock: logtest.NewClock(dawn), seed: 100 * seed}
	end := dawn.Add(lasts)
	for taps := 0; s.clock.True().Before(end); taps++ {
		s.clock.Run(time.Duration(500+s.rng.IntN(14_000)) * time.Millisecond)
		switch n := s.rng.IntN(1000); {
		case n < 3:
			s.powerCut()
		case n < 5:
			s.close()
		case n < 8:
			s.clock.Step(time.Duration(s.rng.IntN(7200)-3600) * time.Second)
		case n < 10:
			s.clock.Sleep(time.Duration(s.rng.IntN(600)) * time.Second)
		}
		if s.log == nil && !s.start() {
			continue
		}
		s.tap(taps)
	}
	s.disk.SetFault(nil)
	s.sound = true
	if s.log == nil && !s.start() {
		t.Fatalf("the last start failed on a sound disk: %v", s.why)
	}
	s.tap(-1)
	s.close()
	s.check()
	t.Logf("day %d: %d confirmed events, %d faults, %d starts, %d power cuts", seed, len(s.confirmed), s.faults, s.restarts, s.cuts)
	// Twelve hours hold some 6,000 taps, 40 starts and 18 cuts; of any hour, two thirds are asked.
	hours := int(lasts.Hours())
	if s.faults < 2*hours || s.restarts < hours || s.cuts < hours/4 || len(s.confirmed) < 330*hours {
		t.Error("too little happened: the soak shows nothing")
	}
}

// fault lets one operation in 150 fail, and sometimes a whole spell.
func (s *soak) fault() func(logtest.Call) error {
	rng, spell := rand.New(rand.NewPCG(s.rng.Uint64(), 1)), 0
	return func(c logtest.Call) error {
		if spell > 0 {
			spell--
		} else if rng.IntN(150) > 0 {
			return nil
		} else if rng.IntN(4) == 0 {
			spell = rng.IntN(60)
		}
		s.faults++
		return logtest.ErrIO
	}
}

func (s *soak) options() daylog.Options {
	s.seed++
	opt := options(s.seed)
	opt.Fallback, opt.Suspect, opt.Header, opt.Second = []string{spare}, daylog.Keep, header(), "/stick"
	return opt
}

func (s *soak) start() bool {
	if !s.sound {
		s.disk.SetFault(s.fault())
	}
	l, _, err := daylog.OpenDay(s.disk, folder, "A", s.clock, s.options())
	if errors.Is(err, fs.ErrNotExist) && len(s.confirmed) == 0 {
		l, err = daylog.Create(s.disk, folder, header(), s.clock, s.options())
	}
	if err != nil {
		s.why = err
		return false
	}
	s.log = l
	s.restarts++
	return true
}

func (s *soak) tap(i int) {
	r, _, err := s.log.Append("batch.started", tap{Batch: i})
	s.pending = append(s.pending, r)
	if err == nil {
		s.confirmed = append(s.confirmed, s.pending...)
		s.pending = nil
	} else if !errors.Is(err, daylog.ErrNotSaved) {
		s.t.Fatal(err)
	}
}

func (s *soak) close() {
	if s.log != nil {
		_ = s.log.Close() // its disk may be failing
		s.log, s.pending = nil, nil
	}
}

func (s *soak) powerCut() {
	if s.log == nil {
		return
	}
	old := s.log
	s.disk = s.disk.Cut(s.rng)
	_ = old.Close() // its goroutine ends; the old disk is gone
	s.log, s.pending = nil, nil
	s.clock.Reboot(time.Minute)
	s.cuts++
}

func (s *soak) check() {
	set, _, err := daylog.ReadDay(s.disk.Cut(nil), folder, spare)
	if err != nil {
		s.t.Fatal(err)
	}
	have := make(map[string]bool)
	for _, r := range set.Records(nil) {
		have[string(r.Bytes)] = true
	}
	lost := 0
	for _, r := range s.confirmed {
		if !have[string(r.Bytes)] {
			lost++
		}
	}
	if lost > 0 || len(set.Forks()) > 0 {
		s.t.Errorf("%d of %d confirmed events lost, %d forks", lost, len(s.confirmed), len(set.Forks()))
	}
}
