package cli

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/daylog"
)

// begun is a day with one press, closed again.
func begun(t *testing.T, env *Env, p *loaded, po pourOptions) string {
	t.Helper()
	o, err := openDay(env, p.Wire, po)
	if err != nil {
		t.Fatal(err)
	}
	press(t, o, "Hall")
	if err := o.log.Close(); err != nil {
		t.Fatal(err)
	}
	return o.log.Path()
}

func press(t *testing.T, o *opened, zone string) {
	t.Helper()
	if _, _, err := o.log.Append("zone.began", map[string]any{"zone": zone}); err != nil {
		t.Fatal(err)
	}
}

// presses counts the taps of a day.
func presses(records []daylog.Record) (n int) {
	for _, r := range records {
		if r.Kind == "zone.began" {
			n++
		}
	}
	return n
}

// A plan file that was spoilt, moved or lost its sheet after the day began does
// not keep the day from going on: the log carries its plan. It is said.
func TestDayGoesOnWithoutThePlanFile(t *testing.T) {
	for what, spoil := range map[string]func(name string) error{
		"gone":     os.Remove,
		"spoilt":   func(name string) error { return os.WriteFile(name, []byte("title = \n[[zone\n"), 0o644) },
		"no sheet": func(name string) error { return os.Remove(filepath.Join(filepath.Dir(name), "flow-urethane.toml")) },
	} {
		env, _, errs, dir := bench(t)
		name := filepath.Join(dir, config.USPlan)
		p, err := loadPlan(name)
		if err != nil {
			t.Fatal(err)
		}
		po := pourOptions{logDir: dayDir(name)}
		begun(t, env, p, po)
		if err := spoil(name); err != nil {
			t.Fatal(err)
		}
		if _, po.planErr = loadPlan(name); po.planErr == nil {
			t.Fatalf("%s: the plan can be read", what)
		}
		env.Clock.(*fastClock).add(time.Minute)
		o, err := openDay(env, nil, po)
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		in, err := planForDay(o, nil, po)
		if err != nil || string(in.Wire) != string(p.Wire) || presses(o.records) != 1 {
			t.Errorf("%s: %v, %d presses", what, err, presses(o.records))
		}
		if w := strings.Join(o.words, " "); !strings.Contains(w, "The plan cannot be read now; the day goes on with the one it has.") || !strings.Contains(w, ".toml") {
			t.Errorf("%s: the crew reads %q", what, w)
		} else if !strings.Contains(w, "last tap zone began at 21:00") { // 04:00 UTC on the plan's clock, seven hours behind
			t.Errorf("%s: the crew reads %q by another clock than its own", what, w)
		}
		o.log.Close()
		po.logDir = filepath.Join(dir, "none")
		if _, err := openDay(env, nil, po); !errors.Is(err, errNoDay) {
			t.Errorf("%s: a day was begun without a plan: %v", what, err)
		}
		env.Args = []string{"pour", name}
		if code := Run(context.Background(), env); code != ExitUsage || !strings.Contains(errs.String(), ".toml") {
			t.Errorf("%s: ends with %d: %s", what, code, errs)
		}
	}
}

// The folder of a day is gone for good, and its log went on elsewhere: the next
// start goes on there, and comes home when the folder takes files again.
func TestDayGoesOnFromTheFallbackFolder(t *testing.T) {
	env, _, _, dir := bench(t)
	p, err := loadPlan(filepath.Join(dir, config.USPlan))
	if err != nil {
		t.Fatal(err)
	}
	po := pourOptions{logDir: filepath.Join(dir, "stick", "days")}
	o, err := openDay(env, p.Wire, po)
	if err != nil {
		t.Fatal(err)
	}
	press(t, o, "Hall")
	home := filepath.Dir(o.log.Path())
	// A file where the folder was: nothing can be made below it, as on a dead disk.
	gone := func() {
		t.Helper()
		if err := os.Rename(filepath.Join(dir, "stick"), filepath.Join(dir, "lost"+time.Now().Format("150405.000000000"))); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "stick"), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	gone()
	_, trouble, err := o.log.Append("zone.began", map[string]any{"zone": "Cooler"})
	if err != nil || !strings.HasPrefix(trouble.File, filepath.Join(env.Home, "logs")) {
		t.Fatalf("%v: the log went on in %q", err, trouble.File)
	}
	o.log.Close()

	env.Clock.(*fastClock).add(time.Minute)
	if o, err = openDay(env, p.Wire, po); err != nil {
		t.Fatal(err)
	}
	if !o.resumed || presses(o.records) != 2 || filepath.Dir(o.log.Path()) != fallback(env, home)[0] {
		t.Errorf("resumed %v with %d presses in %s", o.resumed, presses(o.records), o.log.Path())
	}
	if w := strings.Join(o.words, " "); !strings.Contains(w, "The log goes on in "+env.Home) {
		t.Errorf("the crew reads %q", w)
	}
	press(t, o, "Dock")
	w, err := newFollower(env, o.log.Path())
	if err != nil || len(w.Latest().Zones) == 0 {
		t.Errorf("it cannot be watched: %v", err)
	}
	o.log.Close()

	if err := os.Remove(filepath.Join(dir, "stick")); err != nil {
		t.Fatal(err)
	}
	if o, err = openDay(env, p.Wire, po); err != nil {
		t.Fatal(err)
	}
	if presses(o.records) != 3 || filepath.Dir(o.log.Path()) != home {
		t.Errorf("back home: %d presses in %s", presses(o.records), o.log.Path())
	}
	if w := strings.Join(o.words, " "); !strings.Contains(w, "last tap zone began at 21:01") { // 04:01 UTC, by the plan's clock
		t.Errorf("back home the crew reads %q", w)
	}
	o.log.Close()

	// A new day on a dead disk begins elsewhere, apart from the one that went on there.
	gone()
	po.fresh = true
	if o, err = openDay(env, p.Wire, po); err != nil {
		t.Fatal(err)
	}
	if filepath.Dir(o.log.Path()) == fallback(env, home)[0] || presses(o.records) != 0 || !strings.Contains(strings.Join(o.words, " "), "The log goes on in ") {
		t.Errorf("a new day with %d presses in %s, words %q", presses(o.records), o.log.Path(), o.words)
	}
	o.log.Close()
}

// A log that cannot be read is not passed over in silence when a new day begins.
func TestUnreadableDayIsNamed(t *testing.T) {
	env, _, _, dir := bench(t)
	p, err := loadPlan(filepath.Join(dir, config.USPlan))
	if err != nil {
		t.Fatal(err)
	}
	po := pourOptions{logDir: filepath.Join(dir, "days")}
	path := begun(t, env, p, po)
	if err := os.WriteFile(path, make([]byte, 20000), 0o644); err != nil {
		t.Fatal(err)
	}
	now := env.wall()
	if err := os.Chtimes(path, now, now); err != nil {
		t.Fatal(err)
	}
	o, err := openDay(env, p.Wire, po)
	if err != nil {
		t.Fatal(err)
	}
	defer o.log.Close()
	if w := strings.Join(o.words, " "); o.resumed || !strings.Contains(w, path+" cannot be read") {
		t.Errorf("resumed %v, the crew reads %q", o.resumed, w)
	}
}

// The wall clock may be set by days between two starts: within a boot the age of
// the last press is that of the clock that counts sleep.
func TestDayGoesOnThoughTheWallClockWasSet(t *testing.T) {
	env, _, _, dir := bench(t)
	p, err := loadPlan(filepath.Join(dir, config.USPlan))
	if err != nil {
		t.Fatal(err)
	}
	po := pourOptions{logDir: filepath.Join(dir, "days")}
	clock := env.Clock.(*fastClock)
	begun(t, env, p, po)
	clock.add(5 * time.Minute)
	for _, set := range []time.Duration{-time.Hour, 48 * time.Hour, -90 * 24 * time.Hour} {
		env.Clock = setClock{clock, set}
		o, err := openDay(env, p.Wire, po)
		if err != nil {
			t.Fatal(err)
		}
		if !o.resumed || presses(o.records) != 1 {
			t.Errorf("the clock was set by %v: resumed %v", set, o.resumed)
		}
		o.log.Close()
	}
}

// setClock is a wall clock that somebody set.
type setClock struct {
	*fastClock
	by time.Duration
}

func (c setClock) Now() daylog.Reading {
	r := c.fastClock.Now()
	r.Wall = r.Wall.Add(c.by)
	return r
}

// The second copy may not lie among the day logs, and on their disk it is said to
// be of no use.
func TestSecondCopyElsewhere(t *testing.T) {
	dir := t.TempDir()
	days := filepath.Join(dir, "cellar.days")
	for _, second := range []string{days, filepath.Join(days, "2026-05-01"), filepath.Join(days, "..", "cellar.days", "x", "y")} {
		if _, err := secondFolder(&pourOptions{logDir: days, second: second}); err == nil || !strings.Contains(err.Error(), "another disk") {
			t.Errorf("%s was taken: %v", second, err)
		}
	}
	for _, second := range []string{dir, filepath.Join(dir, "stick", "copy"), days + "2"} {
		words, err := secondFolder(&pourOptions{logDir: days, second: second})
		if err != nil || len(words) != 1 || !strings.Contains(words[0], "on the same disk") {
			t.Errorf("%s: %v, %q", second, err, words)
		}
	}
	if runtime.GOOS == "linux" && sameDisk("/proc/self", dir) {
		t.Error("/proc is taken for the disk of the log")
	}
}
