package cli

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"floorpace/config"
)

// demoDay pours an invented day and gives the path of its log.
func demoDay(t *testing.T, env *Env, dir, seed string) string {
	t.Helper()
	logDir := filepath.Join(dir, "day"+seed)
	run(t, ExitOK, env, "demo", "--seed", seed, "--log", logDir)
	files := logFiles(logDir)
	if len(files) != 1 {
		t.Fatalf("the demo left %v", files)
	}
	return files[0]
}

// One log, all papers; what does not fit is said, with its exit code.
func TestRecordCommand(t *testing.T) {
	env, out, errs, dir := bench(t)
	log := demoDay(t, env, dir, "1")
	papers := filepath.Join(dir, "papers")
	if err := os.Mkdir(papers, 0o755); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	env.Args = []string{"record", log, "--out", papers}
	code := Run(t.Context(), env)
	entries, err := filepath.Glob(filepath.Join(papers, "*"))
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != 9 {
		t.Fatalf("exit %d, papers: %v\n%s%s", code, entries, out, errs)
	}
	var doc struct {
		Findings []struct{ Kind string }
		Totals   struct {
			Poured int `json:"batches_poured"`
		}
		Log struct {
			Files []struct {
				Seal   any
				Behind int `json:"events_behind_seal"`
			}
		}
	}
	name := strings.TrimSuffix(entries[0], "-batches.csv") + ".json"
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	want := ExitOK
	if len(doc.Findings) > 0 {
		want = ExitNo
	}
	if code != want || doc.Totals.Poured == 0 {
		t.Errorf("exit %d with %d findings and %d batches", code, len(doc.Findings), doc.Totals.Poured)
	}
	for _, f := range doc.Findings {
		if !strings.Contains(out.String(), f.Kind) {
			t.Errorf("%q is not said", f.Kind)
		}
	}
	// The seal on paper is the one that the log's own check says.
	out.Reset()
	run(t, ExitOK, env, "verify", log)
	seal, ok := doc.Log.Files[0].Seal.(string)
	if !ok || len(seal) != 12 || !strings.Contains(out.String(), seal) {
		t.Errorf("seal on paper %v; the check says\n%s", doc.Log.Files[0].Seal, out)
	}
}

// Bad input ends with 2, or 3 where it might be a damaged log, and leaves nothing
// behind.
func TestRecordRefuses(t *testing.T) {
	env, _, errs, dir := bench(t)
	foreign := filepath.Join(dir, "x.jsonl")
	if err := os.WriteFile(foreign, []byte("not a log\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	papers := filepath.Join(dir, "papers")
	if err := os.Mkdir(papers, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"record"},
		{"record", filepath.Join(dir, "none.jsonl"), "--out", papers},
		{"record", foreign, "--out", papers},
		{"record", foreign, "--out", filepath.Join(dir, "nowhere")},
		{"record", foreign, "--paper", "a3"},
		{"learn"},
		{"learn", foreign},
		{"compare", foreign},
		{"compare", foreign, foreign},
	} {
		errs.Reset()
		env.Args = args
		if code := Run(t.Context(), env); code != ExitUsage && code != ExitDamage {
			t.Errorf("%v ends with %d", args, code)
		}
		if strings.TrimSpace(errs.String()) == "" {
			t.Errorf("%v: nothing is said", args)
		}
	}
	if left, err := filepath.Glob(filepath.Join(papers, "*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// stepsDay is demoDay with a crew that presses its steps.
func stepsDay(t *testing.T, env *Env, dir, seed string) string {
	t.Helper()
	logDir := filepath.Join(dir, "steps"+seed)
	run(t, ExitOK, env, "demo", "--steps", "--seed", seed, "--log", logDir)
	return logFiles(logDir)[0]
}

// From logs to a crew file to a plan that takes it in to a day log that carries it.
func TestLearnCommand(t *testing.T) {
	env, out, errs, dir := bench(t)
	a, b := stepsDay(t, env, dir, "1"), stepsDay(t, env, dir, "2")
	crew := filepath.Join(dir, "crew.toml")
	out.Reset()
	run(t, ExitOK, env, "learn", a, b, "--out", crew)
	for _, s := range []string{"LEARNED from", "INVENTED", "mixing, mixer 1", "mixing, mixer 2", "step add B", "walking", "loss", "drift in ten batches", "NOT LEARNED", "raking", "Crew file written: " + crew, `crew_file = "crew.toml"`} {
		if !strings.Contains(out.String(), s) {
			t.Errorf("learn does not say %q:\n%s", s, out)
		}
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if n := len([]rune(line)); n > 80 && !strings.Contains(line, dir) {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	text, err := os.ReadFile(crew)
	if err != nil || !bytes.Contains(text, []byte("invented = true")) {
		t.Errorf("crew file: %v\n%s", err, text)
	}
	run(t, ExitUsage, env, "learn", a, "--out", crew) // never over a file that is there
	if again, err := os.ReadFile(crew); err != nil || !bytes.Equal(text, again) {
		t.Error("the crew file of before was written over")
	}
	run(t, ExitUsage, env, "learn", a, "--out", filepath.Join(dir, "nowhere", "crew.toml"))
	errs.Reset()
	run(t, ExitUsage, env, "learn", demoDay(t, env, dir, "5"), "--out", filepath.Join(dir, "thin.toml")) // no step pressed, four marks
	if _, err := os.Stat(filepath.Join(dir, "thin.toml")); err == nil || !strings.Contains(errs.String(), "nothing was learned that a plan can take in") {
		t.Errorf("a crew file with nothing in it: %s", errs)
	}
	out.Reset()
	run(t, ExitOK, env, "learn", a, "--json")
	if !json.Valid(out.Bytes()) {
		t.Errorf("not JSON:\n%s", out)
	}
	// A damaged log, and what is salvaged of it: said, and still an invented day.
	hurt := filepath.Join(dir, "hurt", "A-1.jsonl")
	data, err := os.ReadFile(a)
	if err != nil {
		t.Fatal(err)
	}
	lines := bytes.Split(data, []byte("\n"))
	for i := 200; i < 206; i++ {
		lines[i] = bytes.Repeat([]byte("x"), len(lines[i]))
	}
	if err := os.Mkdir(filepath.Dir(hurt), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(hurt, bytes.Join(lines, []byte("\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	saved := filepath.Join(dir, "saved", "A-2.jsonl")
	if err := os.Mkdir(filepath.Dir(saved), 0o755); err != nil {
		t.Fatal(err)
	}
	run(t, ExitDamage, env, "salvage", saved, hurt) // six lines are in no copy
	for _, log := range []string{hurt, saved} {
		out.Reset()
		run(t, ExitOK, env, "learn", log)
		for _, s := range []string{"INVENTED", "lines are lost", "across lines missing from the log were left out"} {
			if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), s) {
				t.Errorf("%s: %q is not said:\n%s", log, s, out)
			}
		}
	}
	// The day given twice counts once.
	out.Reset()
	run(t, ExitOK, env, "learn", a, filepath.Dir(a))
	if !strings.Contains(out.String(), "LEARNED from 66 batches") {
		t.Errorf("a day given twice:\n%s", out)
	}
}

// A plan with a crew file: check says where the figures come from and what counts;
// the day log carries it; a crew file changed since is a changed plan.
func TestPlanWithCrewFile(t *testing.T) {
	env, out, _, dir := bench(t)
	for _, name := range []string{config.USPlan, "flow-urethane.toml"} {
		b, err := config.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if name == config.USPlan {
			b = append([]byte("crew_file = \"crew.toml\"\n"), b...)
		}
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write := func(loss string) {
		t.Helper()
		text := "units = \"us\"\n[learned]\nfrom = [\"A-1.jsonl\"]\nbatches = 61\nlast = 2026-04-11T06:51:00+02:00\n[crew]\nrake = 31\nheadway = \"0:11\"\n[rules]\nloss = \"" + loss + "\"\n"
		if err := os.WriteFile(filepath.Join(dir, "crew.toml"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("8 %")
	plan := filepath.Join(dir, config.USPlan)
	out.Reset()
	run(t, ExitOK, env, "check", plan)
	for _, s := range []string{
		"crew figures from crew.toml: learned from 61 batches of A-1.jsonl, the last poured on 11 Apr 2026",
		"WORTH A LOOK", "loss, rake stand here and in crew.toml: the plan's own counts",
	} {
		if !strings.Contains(out.String(), s) && !strings.Contains(out.String(), strings.Replace(s, "loss, rake", "rake, loss", 1)) {
			t.Errorf("check does not say %q:\n%s", s, out)
		}
	}
	l, err := loadPlan(plan)
	if err != nil {
		t.Fatal(err)
	}
	if l.Plan.Crew.Headway != 11*time.Second || math.Abs(l.Plan.Rules.Loss-0.06) > 1e-9 {
		t.Errorf("headway %v, loss %g", l.Plan.Crew.Headway, l.Plan.Rules.Loss)
	}
	carried, err := planOf(l.Wire)
	if err != nil || carried.Plan.Crew.Headway != 11*time.Second {
		t.Errorf("the log does not carry the crew file: %v", err)
	}
	write("9 %")
	again, err := loadPlan(plan)
	if err != nil || !slices.Equal(changedFiles(l.Wire, again.Wire), []string{"crew.toml"}) {
		t.Errorf("a changed crew file is not noticed: %v", err)
	}
	run(t, ExitOK, env, "forecast", plan, "--days", "200")
	if err := os.Remove(filepath.Join(dir, "crew.toml")); err != nil {
		t.Fatal(err)
	}
	run(t, ExitUsage, env, "check", plan)
	if _, err := planOf(again.Wire); err != nil {
		t.Errorf("the log's own plan needs the file on disk: %v", err)
	}
}

func TestCompareCommand(t *testing.T) {
	env, out, _, dir := bench(t)
	a, b := demoDay(t, env, dir, "1"), demoDay(t, env, dir, "2")
	out.Reset()
	run(t, ExitOK, env, "compare", a, b)
	for _, s := range []string{"batches poured", "least slack", "kits opened", filepath.Base(a), filepath.Base(b)} {
		if !strings.Contains(out.String(), s) {
			t.Errorf("compare does not show %q:\n%s", s, out)
		}
	}
	out.Reset()
	run(t, ExitOK, env, "compare", a, b, "--json")
	var doc struct {
		Days []struct {
			Poured int     `json:"batches_poured"`
			Area   float64 `json:"area_m2"`
		}
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil || len(doc.Days) != 2 || doc.Days[0].Poured == 0 || doc.Days[1].Area < 100 {
		t.Errorf("%v %+v", err, doc)
	}
	run(t, ExitUsage, env, "compare", a, filepath.Dir(a)) // one day
}

// Papers made again from the same log replace the old ones; papers of another log
// of the same date, and files that are no papers, are never written over.
func TestRecordSparesOtherPapers(t *testing.T) {
	env, _, _, dir := bench(t)
	one, two := demoDay(t, env, dir, "1"), demoDay(t, env, dir, "2")
	papers := filepath.Join(dir, "papers [a]")
	if err := os.Mkdir(papers, 0o755); err != nil {
		t.Fatal(err)
	}
	base := filepath.Join(papers, "record-2026-05-02")
	if err := os.WriteFile(base+"-2.html", []byte("by hand"), 0o600); err != nil {
		t.Fatal(err)
	}
	logOf := func(name string) string {
		t.Helper()
		var doc struct {
			Log struct{ Files []struct{ Name string } }
		}
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, &doc); err != nil || len(doc.Log.Files) != 1 {
			t.Fatalf("%s: %v", name, err)
		}
		return doc.Log.Files[0].Name
	}
	for range 2 {
		for _, log := range []string{one, two} {
			env.Args = []string{"record", log, "--out", papers}
			Run(t.Context(), env)
		}
		if a, b := logOf(base+".json"), logOf(base+"-3.json"); a != filepath.Base(one) || b != filepath.Base(two) {
			t.Errorf("papers of %s and %s, want %s and %s", a, b, one, two)
		}
		if left, err := filepath.Glob(filepath.Join(dir, "papers *", "*")); err != nil || len(left) != 2*9+1 {
			t.Errorf("%d files (%v)", len(left), err)
		}
	}
	if b, err := os.ReadFile(base + "-2.html"); err != nil || string(b) != "by hand" {
		t.Errorf("a file that is no paper was written over: %q %v", b, err)
	}
}
