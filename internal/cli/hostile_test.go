package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
)

// hostile is what a terminal would act upon: a colour, a link, a C1 introducer,
// bidi controls, a line separator, DEL, a private character.
const hostile = "x\x1b[31m\x1b]8;;h:x\x07y\u202e\u009b2J\u2066\u2028\x7f\ue000z"

// acted finds what a terminal would act upon in a text.
func acted(s string) (bad []string) {
	for _, r := range s {
		if r != '\n' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp)) || r == unicode.ReplacementChar {
			bad = append(bad, string(r))
		}
	}
	return bad
}

// hostileLog is a sound day log of the plan whose every text is hostile, in a file
// with a hostile name.
func hostileLog(t *testing.T, env *Env, planName string) string {
	t.Helper()
	p, err := loadPlan(planName)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "2026-05-02")
	l, err := daylog.Create(daylog.OS(), dir, daylog.Header{Station: "A", Day: "2026-05-02", Plan: p.Wire, Install: "i", App: "a" + hostile}, env.Clock, daylog.Options{})
	if err != nil {
		t.Fatal(err)
	}
	zone := p.Plan.Zones[0].Name
	for _, e := range []day.Event{
		{Kind: day.ZoneBegan, Zone: zone},
		{Kind: day.BatchStarted, Batch: 1, Mixer: 1, Zone: zone, Blend: "standard" + hostile, Lots: "resin=" + hostile},
		{Kind: day.BatchPoured, Batch: 1, Zone: zone},
		{Kind: day.CallRaised, Call: hostile, What: "EDGE" + hostile, Why: hostile, Grad: 1},
		{Kind: day.HoldBegan, Why: hostile},
		{Kind: day.ReadingTaken, What: hostile},
		{Kind: day.ReadingTaken, What: day.ReadAir},
		{Kind: day.NoteWritten, Text: hostile},
		{Kind: day.OverrideGiven, Who: hostile, Role: hostile, Why: hostile},
		{Kind: day.DecisionMade, Who: hostile, Why: hostile},
	} {
		if _, _, err := l.Append(string(e.Kind), e.Body()); err != nil {
			t.Fatalf("%s: %v", e.Kind, err)
		}
		env.Clock.(*fastClock).add(time.Minute)
	}
	path := l.Path()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(dir, strings.ReplaceAll(hostile, "/", "")+".jsonl")
	if err := os.Rename(path, to); err != nil {
		t.Skipf("the file system takes no such name: %v", err)
	}
	return to
}

// TestNothingHostileIsPrinted: whatever stands in a log, its name or a plan, no
// command prints anything that a terminal acts upon, with data neither.
func TestNothingHostileIsPrinted(t *testing.T) {
	env, out, errs, dir := bench(t)
	good := filepath.Join(dir, config.USPlan)
	path := hostileLog(t, env, good)
	bad := filepath.Join(dir, hostile+".toml")
	text, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(bad, append([]byte("x"+hostile+" = 1\n"), text...), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"verify", path},
		{"verify", "--json", path},
		{"verify", bad},
		{"replay", path},
		{"learn", path},
		{"learn", "--json", path},
		{"compare", path, path},
		{"compare", "--json", path, path},
		{"record", "--out", t.TempDir(), path},
		{"salvage", filepath.Join(dir, "new"+hostile+".jsonl"), path},
		{"watch", path},
		{"replay", hostile},
		{"verify", hostile},
		{"check", bad},
		{"forecast", bad},
		{"pour", bad},
		{"check", hostile},
		{hostile},
		{"check", "--" + hostile},
		{"demo", "--seed", hostile},
	} {
		out.Reset()
		errs.Reset()
		env.Args = args
		code := Run(t.Context(), env)
		if code == ExitFailed {
			t.Errorf("%q ends with %d: %s", args[0], code, errs)
		}
		if out.Len()+errs.Len() == 0 {
			t.Errorf("%q says nothing", args[0])
		}
		if got := acted(out.String() + errs.String()); len(got) > 0 {
			t.Errorf("%q prints %q in %q", args[:len(args)-1], got, out.String()+errs.String())
		}
	}
	out.Reset()
	run(t, ExitOK, env, "verify", "--json", path)
	var r daylog.Report
	if err := json.Unmarshal(out.Bytes(), &r); err != nil || len(r.Files) != 1 || r.Files[0].Path != path {
		t.Errorf("the data no longer names the file: %v, %+v", err, r.Files)
	}
}
