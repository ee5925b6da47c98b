package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
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

func TestLearnAndCompareCommands(t *testing.T) {
	env, out, _, dir := bench(t)
	a, b := demoDay(t, env, dir, "1"), demoDay(t, env, dir, "2")
	crew := filepath.Join(dir, "crew.toml")
	out.Reset()
	run(t, ExitOK, env, "learn", a, b, "--out", crew)
	if s := out.String(); !strings.Contains(s, "LEARNED from") || !strings.Contains(s, "loss") {
		t.Errorf("learn says\n%s", s)
	}
	text, err := os.ReadFile(crew)
	if err != nil || !bytes.Contains(text, []byte("[crew]")) {
		t.Errorf("crew table: %v\n%s", err, text)
	}
	run(t, ExitUsage, env, "learn", a, "--out", crew) // never over a file that is there
	if again, err := os.ReadFile(crew); err != nil || !bytes.Equal(text, again) {
		t.Error("the crew table of before was written over")
	}
	out.Reset()
	run(t, ExitOK, env, "learn", a, "--json")
	if !json.Valid(out.Bytes()) {
		t.Errorf("not JSON:\n%s", out)
	}
	out.Reset()
	run(t, ExitOK, env, "compare", a, b)
	for _, s := range []string{"batches poured", "least slack", "kits opened", filepath.Base(a), filepath.Base(b)} {
		if !strings.Contains(out.String(), s) {
			t.Errorf("compare does not show %q:\n%s", s, out)
		}
	}
}
