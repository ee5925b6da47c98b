package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/daylog"
)

// bench is an Env in a folder of its own, with the shipped plans in it.
func bench(t *testing.T, args ...string) (*Env, *bytes.Buffer, *bytes.Buffer, string) {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{config.USPlan, config.MetricPlan, "flow-urethane.toml", "flow-epoxy.toml"} {
		data, err := config.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out, errs := &bytes.Buffer{}, &bytes.Buffer{}
	env := &Env{
		Args: args, In: strings.NewReader(""), Out: out, Err: errs, Getenv: func(string) string { return "" },
		Clock: &fastClock{from: time.Date(2026, 5, 2, 4, 0, 0, 0, time.UTC)}, Home: filepath.Join(dir, "home"),
	}
	return env, out, errs, dir
}

func run(t *testing.T, want int, env *Env, args ...string) {
	t.Helper()
	env.Args = args
	if got := Run(context.Background(), env); got != want {
		t.Fatalf("floorpace %s ends with %d, want %d\n%s%s", strings.Join(args, " "), got, want, env.Out, env.Err)
	}
}

func TestCheckSaysGoAndProblems(t *testing.T) {
	env, out, errs, dir := bench(t)
	run(t, ExitOK, env, "check", filepath.Join(dir, config.USPlan))
	for _, words := range []string{"55 kits", "the edge needs a batch every 3:04, the crew can do one every 2:08 (mixers): holds", "POUR AT PLAN PACE", "\nGO\n"} {
		if !strings.Contains(out.String(), words) {
			t.Errorf("check does not say %q:\n%s", words, out)
		}
	}
	out.Reset()
	run(t, ExitOK, env, "check", "--json", filepath.Join(dir, config.MetricPlan))
	var v struct {
		Go    bool
		Zones []struct{ Kits int }
	}
	if err := json.Unmarshal(out.Bytes(), &v); err != nil || !v.Go || len(v.Zones) != 2 || v.Zones[0].Kits != 47 {
		t.Errorf("data form: %v %+v", err, v)
	}

	// A crew for which rows to and fro cannot hold: no-go, with figures.
	bad := filepath.Join(dir, "tofro.toml")
	data, err := os.ReadFile(filepath.Join(dir, config.USPlan))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(bad, bytes.Replace(data, []byte(`pattern = "same side"`), []byte(`pattern = "to and fro"`), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	run(t, ExitNo, env, "check", bad)
	if !strings.Contains(out.String(), "DOES NOT HOLD") || !strings.Contains(out.String(), "better way") || !strings.Contains(out.String(), "NO-GO") {
		t.Errorf("to and fro:\n%s", out)
	}

	// Several slips: all at once, each with its place, and nothing written.
	slips := filepath.Join(dir, "slips.toml")
	text := strings.NewReplacer(`pull = "+x"`, `pul = "+x"`, `depth = "1/4 in"`, `depth = "1/4 lb"`, "mixers = 2", "mixers = -2").Replace(string(data))
	if err := os.WriteFile(slips, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ExitUsage, env, "check", slips)
	for _, words := range []string{"slips.toml:", "pul", "1/4 lb", "mixers"} {
		if !strings.Contains(errs.String(), words) {
			t.Errorf("the problems do not name %q:\n%s", words, errs)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "slips.days")); err == nil {
		t.Error("a folder was made for a plan with problems")
	}
}

// The demo without a terminal, with its log kept: verified, replayed, and the
// same seed makes the same day.
func TestDemoLogReplays(t *testing.T) {
	env, out, _, dir := bench(t)
	logs := filepath.Join(dir, "logs")
	run(t, ExitOK, env, "demo", "--log", logs)
	demo := out.String()
	out.Reset()
	run(t, ExitOK, env, "verify", logs)
	out.Reset()
	run(t, ExitOK, env, "replay", logs)
	for _, line := range strings.Split(out.String(), "\n") {
		if strings.Contains(line, "batches") || strings.Contains(line, "least slack") {
			if !strings.Contains(demo, line) {
				t.Errorf("the replay says %q, the demo did not:\n%s", line, demo)
			}
		}
	}
	out.Reset()
	papers := filepath.Join(dir, "papers", "new") // is made
	run(t, ExitNo, env, "record", logs, "--out", papers)
	if strings.Contains(out.String(), "empties") || !strings.Contains(out.String(), "reading missing") {
		t.Errorf("the demo's counts fit, its readings came late; the papers say:\n%s", out)
	}
	if files, err := filepath.Glob(filepath.Join(papers, "*")); err != nil || len(files) != 9 {
		t.Errorf("papers %v, %v", files, err)
	}
	out.Reset()
	run(t, ExitOK, env, "demo")
	if a, b, _ := strings.Cut(demo, "  day log"); a+strings.TrimPrefix(b[strings.Index(b, "\n"):], "\n") != out.String() {
		t.Errorf("the same seed makes another day:\n%s\n---\n%s", demo, out)
	}
}

// A day is gone on with, a changed plan is noticed, taken when asked for, kept
// in the log, and refused where it does not fit what is down.
func TestChangedPlan(t *testing.T) {
	env, _, _, dir := bench(t)
	name := filepath.Join(dir, config.USPlan)
	clock := env.Clock.(*fastClock)
	po := pourOptions{logDir: filepath.Join(dir, "days")}
	begin := func() (*opened, *loaded) {
		t.Helper()
		clock.add(time.Minute)
		p, err := loadPlan(name)
		if err != nil {
			t.Fatal(err)
		}
		o, err := openDay(env, p.Wire, po)
		if err != nil {
			t.Fatal(err)
		}
		return o, p
	}
	o, _ := begin()
	if _, _, err := o.log.Append("zone.began", map[string]any{"zone": "Hall"}); err != nil {
		t.Fatal(err)
	}
	o.log.Close()
	change := func(from, to string) {
		t.Helper()
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, bytes.Replace(data, []byte(from), []byte(to), 1), 0o644); err != nil {
			t.Fatal(err)
		}
	}

	change("mixers = 2", "mixers = 3")
	o, p := begin()
	if !o.resumed {
		t.Fatal("the day was not gone on with")
	}
	old, err := planForDay(o, p, pourOptions{})
	if err != nil || old.Plan.Crew.Mixers != 2 || len(o.words) == 0 || !strings.Contains(o.words[len(o.words)-1], "Changed since the day began: cellar.toml. The day goes on with the plan it has. To take the new one start again with --new-plan.") {
		t.Errorf("a changed plan: %v, %d mixers, words %q", err, old.Plan.Crew.Mixers, o.words)
	}
	if now, err := planForDay(o, p, pourOptions{newPlan: true}); err != nil || now.Plan.Crew.Mixers != 3 {
		t.Fatalf("the changed plan was not taken: %v", err)
	}
	o.log.Close()
	records, header, err := readDay(followDay(env, o.log.Path()), o.log.Path())
	if err != nil {
		t.Fatal(err)
	}
	if kept, err := planOf(planInForce(header.Plan, records)); err != nil || kept.Plan.Crew.Mixers != 3 {
		t.Errorf("the log does not carry the changed plan: %v", err)
	}

	change("[44, 28]", "[44, 27]") // the zone that was begun
	o, p = begin()
	defer o.log.Close()
	if _, err := planForDay(o, p, pourOptions{newPlan: true}); err == nil || !strings.Contains(err.Error(), "Hall") || !strings.Contains(err.Error(), "leave --new-plan out") {
		t.Errorf("a plan with another zone took over: %v", err)
	}
	if old, err := planForDay(o, p, pourOptions{}); err != nil || old.Plan.Crew.Mixers != 3 || !strings.Contains(o.words[len(o.words)-1], "cannot take over: zone Hall was begun") {
		t.Errorf("a plan that does not fit: %v, words %q", err, o.words)
	}
}

// A long stop ends a day: the next start begins a new one; a sealed one too.
func TestWhichDayGoesOn(t *testing.T) {
	env, _, _, dir := bench(t)
	p, err := loadPlan(filepath.Join(dir, config.USPlan))
	if err != nil {
		t.Fatal(err)
	}
	clock := env.Clock.(*fastClock)
	po := pourOptions{logDir: filepath.Join(dir, "days")}
	open := func(after time.Duration) *opened {
		t.Helper()
		clock.add(after)
		o, err := openDay(env, p.Wire, po)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	o := open(0)
	first := o.log.Path()
	o.log.Close()
	o = open(5 * time.Hour)
	if !o.resumed || o.log.Path() != first {
		t.Errorf("five hours later it goes on in %s, resumed %v", o.log.Path(), o.resumed)
	}
	if _, _, err := o.log.Seal(); err != nil {
		t.Fatal(err)
	}
	o.log.Close()
	o = open(time.Minute)
	if o.resumed {
		t.Error("a sealed day was gone on with")
	}
	o.log.Close()
	o = open(20 * time.Hour)
	if o.resumed {
		t.Error("the day before was gone on with")
	}
	o.log.Close()
	if _, err := daylog.Read(daylog.OS(), first); err != nil {
		t.Error(err)
	}
}
