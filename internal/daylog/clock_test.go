package daylog_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"github.com/google/go-cmp/cmp"
)

// TestCompare: each thing that clocks do, alone and together.
func TestCompare(t *testing.T) {
	type ev struct {
		Kind string
		By   time.Duration
	}
	s := time.Second
	for _, k := range []struct {
		name string
		move func(c *logtest.Clock)
		want []ev
	}{
		{"a tick", func(c *logtest.Clock) { c.Run(s) }, nil},
		{"a slow tick", func(c *logtest.Clock) { c.Run(2900 * time.Millisecond) }, nil},
		{"slewed by a time service", func(c *logtest.Clock) { c.Run(s); c.Step(500 * time.Microsecond) }, nil},
		{"set forward", func(c *logtest.Clock) { c.Run(s); c.Step(time.Hour) }, []ev{{daylog.KindStepped, time.Hour}}},
		{"set back", func(c *logtest.Clock) { c.Run(s); c.Step(-90 * s) }, []ev{{daylog.KindStepped, -90 * s}}},
		{"asleep", func(c *logtest.Clock) { c.Run(s); c.Sleep(20 * time.Minute) }, []ev{{daylog.KindSlept, 20 * time.Minute}}},
		{"stood still", func(c *logtest.Clock) { c.Run(42 * s) }, []ev{{daylog.KindStalled, 42 * s}}},
		{"asleep and set on waking", func(c *logtest.Clock) { c.Run(s); c.Sleep(600 * s); c.Step(3 * s) }, []ev{{daylog.KindSlept, 600 * s}, {daylog.KindStepped, 3 * s}}},
		{"restarted", func(c *logtest.Clock) { c.Reboot(time.Minute); c.Step(time.Hour) }, nil},
	} {
		c := logtest.NewClock(dawn)
		prev := c.Now()
		k.move(c)
		var got []ev
		for _, e := range daylog.Compare(prev, c.Now()) {
			got = append(got, ev{e.Kind, e.By})
			if !strings.HasSuffix(e.Words, ".") {
				t.Errorf("%s: the banner reads %q", k.name, e.Words)
			}
		}
		if diff := cmp.Diff(k.want, got); diff != "" {
			t.Errorf("%s: %s", k.name, diff)
		}
	}
	if e := daylog.Compare(daylog.Reading{}, logtest.NewClock(dawn).Now()); e != nil {
		t.Errorf("the first tick: %v", e)
	}
}

// clockDay is a random day of taps, clock jumps, sleeps and restarts.
type clockDay struct {
	clock   *logtest.Clock
	records []daylog.Record
	truth   []time.Time // the true instant of each record
	boots   []string
	wrong   []time.Duration // how far the wall clock was off, at the end of its boot
}

func randomDay(t testing.TB, rng *rand.Rand) *clockDay {
	t.Helper()
	d := &clockDay{clock: logtest.NewClock(dawn)}
	disk := logtest.NewDisk()
	l, err := daylog.Create(disk, folder, header(), d.clock, options(rng.Uint64()))
	if err != nil {
		t.Fatal(err)
	}
	d.note()
	for i := range 3 + rng.IntN(12) {
		switch rng.IntN(8) {
		case 0:
			d.clock.Step(time.Duration(rng.Int64N(int64(8*time.Hour))) - 4*time.Hour)
		case 1:
			d.clock.Sleep(time.Duration(rng.Int64N(int64(3 * time.Hour))))
		case 2:
			path := l.Path()
			_ = l.Close()
			d.clock.Reboot(time.Duration(rng.Int64N(int64(10 * time.Minute))))
			if l, _, err = daylog.Open(disk, path, d.clock, options(rng.Uint64())); err != nil {
				t.Fatal(err)
			}
			d.note()
		default:
			d.clock.Run(time.Duration(rng.Int64N(int64(5 * time.Minute))))
			if _, _, err := l.Append("batch.started", tap{Batch: i}); err != nil {
				t.Fatal(err)
			}
			d.note()
		}
	}
	_ = l.Close()
	d.records = read(t, disk, l.Path()).Records
	if len(d.records) != len(d.truth) {
		t.Fatalf("%d records, %d noted", len(d.records), len(d.truth))
	}
	return d
}

func (d *clockDay) note() {
	r := d.clock.Now()
	d.truth = append(d.truth, d.clock.True())
	d.boots = append(d.boots, r.Boot)
	d.wrong = append(d.wrong, r.Wall.Sub(d.clock.True()))
}

// TestRandomDays: over 20,000 random days of clock jumps, sleeps and restarts
// every age within the present boot is exact to the millisecond, and every age
// across a restart is marked as about right and wrong by no more than the wall
// clock was.
func TestRandomDays(t *testing.T) {
	days := 1000
	if long() {
		days = 20_000
	}
	rng := rand.New(rand.NewPCG(4, 5))
	exact, about := 0, 0
	for day := range days {
		d := randomDay(t, rng)
		d.clock.Run(time.Duration(rng.Int64N(int64(time.Hour))))
		reading := d.clock.Now()
		now := daylog.Now(d.records, reading)
		if now.Approx {
			t.Fatalf("day %d: the present is about right only: %s", day, now.Why)
		}
		anchorWrong := d.wrong[firstOf(d.boots, reading.Boot)]
		for i, at := range daylog.Times(d.records, reading.Boot) {
			age, want := now.At.Sub(at.At), d.clock.True().Sub(d.truth[i])
			miss := (age - want).Abs()
			if here := d.boots[i] == reading.Boot; here == at.Approx || at.Approx == (at.Why == "") {
				t.Fatalf("day %d, event %d: here %v, approx %v, why %q", day, i, here, at.Approx, at.Why)
			}
			if !at.Approx {
				exact++
				if miss > time.Millisecond {
					t.Fatalf("day %d, event %d: age %v, truly %v", day, i, age, want)
				}
				continue
			}
			about++
			allowed := (d.wrong[lastOf(d.boots, d.boots[i])] - anchorWrong).Abs() + 2*time.Millisecond
			if miss > allowed {
				t.Fatalf("day %d, event %d: age %v, truly %v, the wall clock explains %v", day, i, age, want, allowed)
			}
		}
	}
	t.Logf("%d days: %d ages exact, %d about right", days, exact, about)
	if exact < days || about < days {
		t.Error("too few ages of one kind: the test shows nothing")
	}
}

func firstOf(boots []string, boot string) int {
	for i, b := range boots {
		if b == boot {
			return i
		}
	}
	return 0
}

func lastOf(boots []string, boot string) int {
	for i := len(boots) - 1; i >= 0; i-- {
		if boots[i] == boot {
			return i
		}
	}
	return 0
}

// TestUnknownBoot: a system that cannot name its boots gives no exact ages
// across sessions, and none at all in disguise.
func TestUnknownBoot(t *testing.T) {
	r := []daylog.Record{
		{N: 1, Kind: daylog.KindOpened, Wall: dawn, Mono: 1000, Body: []byte(`{"boot":""}`), Writer: "w"},
		{N: 2, Kind: "x", Wall: dawn.Add(time.Second), Mono: 2000, Body: []byte(`{}`), Writer: "w"},
		{N: 3, Kind: daylog.KindOpened, Wall: dawn.Add(time.Hour), Mono: 500, Body: []byte(`{"boot":""}`), Writer: "w"},
	}
	at := daylog.Times(r, "")
	if !at[0].Approx || !at[1].Approx || at[2].Approx {
		t.Errorf("%+v", at)
	}
	if now := daylog.Now(r, daylog.Reading{Wall: dawn}); !now.Approx || !now.At.Equal(dawn) {
		t.Errorf("%+v", now)
	}
}

// TestOffset: the formulas of RFC 5905, section 8, on a case worked by hand and
// on random exchanges: the error stays within half the round trip.
func TestOffset(t *testing.T) {
	at := func(ms int64) time.Time { return time.UnixMilli(1_000_000 + ms) }
	// Theirs is 100 ms ahead; 30 ms there, 10 ms to answer, 50 ms back.
	ahead, within, ok := daylog.Offset([]daylog.Exchange{{Sent: at(0), Heard: at(130), Replied: at(140), Received: at(90)}})
	if !ok || ahead != 90*time.Millisecond || within != 40*time.Millisecond {
		t.Errorf("%v ± %v, want 90 ms ± 40 ms", ahead, within) // ((130-0)+(140-90))/2; (90-10)/2
	}
	if _, _, ok := daylog.Offset(nil); ok {
		t.Error("an offset from nothing")
	}
	rng := rand.New(rand.NewPCG(8, 9))
	for range 2000 {
		truth := time.Duration(rng.Int64N(int64(2*time.Hour))) - time.Hour
		var all []daylog.Exchange
		clock := int64(0)
		for range daylog.Samples {
			there, think, back := 1+rng.Int64N(400), rng.Int64N(20), 1+rng.Int64N(400)
			all = append(all, daylog.Exchange{
				Sent: at(clock), Heard: at(clock + there).Add(truth),
				Replied: at(clock + there + think).Add(truth), Received: at(clock + there + think + back),
			})
			clock += 2000
		}
		ahead, within, ok := daylog.Offset(all)
		if miss := (ahead - truth).Abs(); !ok || miss > within {
			t.Fatalf("off by %v, said within %v", miss, within)
		}
	}
}
