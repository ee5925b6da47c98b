package cli

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// full is a disk with no room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// TestCheckAndDemoOnAFullDisk: what could not be printed ends with the code of
// a machine that failed, whatever was found.
func TestCheckAndDemoOnAFullDisk(t *testing.T) {
	env, _, errs, dir := bench(t)
	env.Out = full{}
	for _, args := range [][]string{
		{"check", filepath.Join(dir, "cellar.toml")},
		{"check", "--json", filepath.Join(dir, "dock.toml")},
		{"demo"},
		{"--help"},
	} {
		errs.Reset()
		env.Args = args
		if got := Run(context.Background(), env); got != ExitFailed || !strings.Contains(errs.String(), "could not be written") {
			t.Errorf("%v ends with %d, want %d: %s", args, got, ExitFailed, errs)
		}
	}
}

// TestCheckSaysWhichArguments: slips on the command line are said in plain
// words, with what to write instead.
func TestCheckSaysWhichArguments(t *testing.T) {
	env, _, errs, dir := bench(t)
	plan := filepath.Join(dir, "cellar.toml")
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"demo", "--seed", "x"}, "--seed x: write a whole number"},
		{[]string{"check"}, "nothing was given: write floorpace check PLAN"},
		{[]string{"check", plan, plan}, "2 given: write floorpace check PLAN"},
		{[]string{"check", "--nope", plan}, "listed by floorpace check --help"},
		{[]string{"replay", plan}, "this is a plan, not the log of a day"},
	} {
		errs.Reset()
		run(t, ExitUsage, env, c.args...)
		if got := errs.String(); !strings.Contains(got, c.want) || strings.Contains(got, "strconv") || strings.Contains(got, "accepts") {
			t.Errorf("%v: %s", c.args, got)
		}
	}
}

// TestCheckShowsNotes: what only wants a look is printed with the check.
func TestCheckShowsNotes(t *testing.T) {
	env, out, _, dir := bench(t)
	data, err := os.ReadFile(filepath.Join(dir, "dock.toml"))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "moved.toml")
	if err := os.WriteFile(name, bytes.Replace(data, []byte("at = [6, 0]"), []byte("at = [6, 2]"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ExitOK, env, "check", name)
	if s := out.String(); !strings.Contains(s, "WORTH A LOOK") || !strings.Contains(s, `moved.toml:`) || !strings.Contains(s, `door "door 1" stands 2.0 m from the outline`) {
		t.Errorf("the note is not shown:\n%s", s)
	}
}

// TestChangedDayHeldByAnother: a second console says how to watch the first.
func TestChangedDayHeldByAnother(t *testing.T) {
	env, _, _, dir := bench(t)
	p, err := loadPlan(filepath.Join(dir, "cellar.toml"))
	if err != nil {
		t.Fatal(err)
	}
	po := pourOptions{logDir: filepath.Join(dir, "days")}
	o, err := openDay(env, p.Wire, po)
	if err != nil {
		t.Fatal(err)
	}
	defer o.log.Close()
	if _, _, err := o.log.Append("zone.began", map[string]any{"zone": "Hall"}); err != nil {
		t.Fatal(err)
	}
	if _, err := openDay(env, p.Wire, po); err == nil || !strings.Contains(err.Error(), "another console has this day open; watch it with: floorpace watch "+po.logDir) {
		t.Errorf("%v", err)
	}
}
