package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/playback"
	"floorpace/internal/shift"
)

// At the instant at which a mixer of the demo day fails, that mixer back at work
// is named with its chance, its finish and its kits: the ways out are those of
// the instant shown, and the log is not touched.
func TestWhatIfOneMoreMixer(t *testing.T) {
	if testing.Short() {
		t.Skip("pours a demo day")
	}
	env, _, _, dir := bench(t)
	name := demoDay(t, env, dir, "3")
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	days, err := gatherDays(env, []string{name}, nil)
	if err != nil {
		t.Fatal(err)
	}
	records, header, ok := dayOf(days[0].Set)
	if !ok {
		t.Fatal("no header")
	}
	p, err := planOf(header.Plan)
	if err != nil {
		t.Fatal(err)
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		t.Fatal(err)
	}
	events := shift.Events(records)
	lost := slices.IndexFunc(events, func(e day.Event) bool { return e.Kind == day.PostLost })
	if lost < 0 {
		t.Fatal("no mixer fails on the demo day")
	}
	b := playback.New(p.Plan, floors, events)
	v := b.At(events[lost].At)
	c, ok := advice.Ask(v)
	if !ok {
		t.Fatal("nothing to ask")
	}
	o := c.JudgeDay(t.Context(), 500, 1)
	i := slices.IndexFunc(o.Ways, func(w advice.Way) bool { return w.ID == "mixer" })
	if i < 0 {
		t.Fatalf("no way out is a mixer more: as it stood %.2f, %+v", o.Edge, o.Ways)
	}
	if w := o.Ways[i]; w.Edge <= o.Edge || !w.P50.After(v.Now) || w.Kits < v.Kits.Need || w.Kits > v.Kits.NeedMean+v.Kits.OnTheWay+1 {
		t.Errorf("as it stood %.2f; a mixer more: %+v, kits %+v", o.Edge, w, v.Kits)
	}
	// Before it fails all is well, and nobody needs a third mixer: the question of
	// the replay answers for one all the same.
	if c, ok = advice.Ask(b.At(events[lost].At.Add(-time.Minute))); !ok {
		t.Fatal("nothing to ask")
	}
	third := func(o advice.Outlook) int {
		return slices.IndexFunc(o.Ways, func(w advice.Way) bool { return w.What == "one more mixer" && w.People == 1 })
	}
	if o = c.JudgeDay(t.Context(), 500, 1); third(o) >= 0 {
		t.Errorf("as it stood %.2f, and a third mixer is called for", o.Edge)
	}
	every := c.Every().JudgeDay(t.Context(), 500, 1)
	if i := third(every); i < 0 {
		t.Errorf("no answer for a third mixer: %+v", every.Ways)
	} else if w := every.Ways[i]; w.Edge < o.Edge-0.01 || w.P50.After(o.P50) || w.P50.IsZero() || w.Kits != o.Kits || every.Edge != o.Edge {
		t.Errorf("as it stood %.2f, %s, %d kits; a third mixer %+v", o.Edge, o.P50, o.Kits, w)
	}
	if after, err := os.ReadFile(name); err != nil || !bytes.Equal(before, after) {
		t.Error("the log was touched")
	}
}

// Replay without a terminal, of every sort of log: it says what there is, or
// what is wrong, and never writes.
func TestReplayOfEveryLog(t *testing.T) {
	env, out, errs, dir := bench(t)
	log := logFiles(pouredHall(t, dir, hall5(), 5))[0]
	sound, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	begun := sound[:bytes.IndexByte(sound, '\n')+1]
	for _, c := range []struct {
		name string
		data []byte
		code int
		says string
	}{
		{"sound", sound, ExitOK, "5 poured"},
		{"begun, no event yet", begun, ExitOK, "0 poured"},
		{"being written, half a line", sound[:len(sound)-30], ExitOK, "5 poured"},
		{"damaged in the middle", bytes.Replace(sound, []byte(`"batch.mixed"`), []byte(`"batch.mixeD"`), 1), ExitOK, "poured"},
		{"no header", sound[len(begun):], ExitDamage, "look for the second copy"},
		{"empty", nil, ExitUsage, "never begun"},
		{"foreign", []byte("hello\n"), ExitUsage, "not a day log"},
	} {
		out.Reset()
		errs.Reset()
		at := filepath.Join(t.TempDir(), "A-00000000.jsonl")
		if err := os.WriteFile(at, c.data, 0o644); err != nil {
			t.Fatal(err)
		}
		env.Args = []string{"replay", at}
		if code := Run(t.Context(), env); code != c.code || !strings.Contains(out.String()+errs.String(), c.says) {
			t.Errorf("%s: exit %d, want %d, says\n%s%s", c.name, code, c.code, out, errs)
		}
		if after, err := os.ReadFile(at); err != nil || !bytes.Equal(after, c.data) {
			t.Errorf("%s: the log was touched", c.name)
		}
	}
}

// A replay of a damaged log says so; one of a sound log does not.
func TestReplayNamesDamage(t *testing.T) {
	env, out, _, dir := bench(t)
	log := demoDay(t, env, dir, "1")
	replayed := func() string {
		out.Reset()
		run(t, ExitOK, env, "replay", log)
		return out.String()
	}
	if s := replayed(); strings.Contains(s, "DAMAGED") {
		t.Errorf("a sound log is called damaged:\n%s", s)
	}
	data, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2] ^= 1
	if err := os.WriteFile(log, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if s := replayed(); !strings.Contains(s, "LOG DAMAGED: events lost: 1") {
		t.Errorf("the damage is not told:\n%s", s)
	}
}
