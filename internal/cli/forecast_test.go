package cli

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/advice"
	"floorpace/internal/daylog"
)

func TestForecastSaysChanceCrewAndWidths(t *testing.T) {
	env, out, _, dir := bench(t)
	plan := filepath.Join(dir, config.USPlan)
	run(t, ExitOK, env, "forecast", "--days", "500", plan)
	for _, words := range []string{
		"500 days, seed 1", "asked for 95.0 %", "ZONE Hall", "ZONE Wash bay", "55 kits", "as planned", "the smallest that holds",
		"WIDTH OF THE PULL", "28 ft", "HOLDS AT THE CHANCE ASKED FOR", "A reminder, not advice",
	} {
		if !strings.Contains(out.String(), words) {
			t.Errorf("forecast does not say %q:\n%s", words, out)
		}
	}
	first := out.String()
	out.Reset()
	run(t, ExitOK, env, "forecast", "--days", "500", plan)
	if out.String() != first {
		t.Error("the same seed gives other figures")
	}
	out.Reset()
	run(t, ExitOK, env, "forecast", "--days", "500", "--seed", "2", plan)
	if strings.ReplaceAll(out.String(), "seed 2", "seed 1") == first {
		t.Error("another seed gives the same figures")
	}
}

func TestForecastAsData(t *testing.T) {
	env, out, _, dir := bench(t)
	run(t, ExitOK, env, "forecast", "--json", "--days", "200", filepath.Join(dir, config.MetricPlan))
	var r advice.Report
	if err := json.Unmarshal(out.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Crews) != 12 || len(r.Zones) != 2 || r.Zones[0].Kits != 47 || r.Both < r.Asked || r.Smallest == nil || len(r.Widths) == 0 {
		t.Errorf("%+v", r)
	}
}

// A crew of one mixer cannot hold the 28 ft pull of the example cellar (check says
// needed one every 3:04, one mixer gives one every 4:15), so the forecast ends with
// 1 and names the smallest crew.
func TestForecastThatDoesNotHold(t *testing.T) {
	env, out, _, dir := bench(t)
	plan := filepath.Join(dir, config.USPlan)
	text, err := os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	text = []byte(strings.Replace(string(text), "mixers = 2", "mixers = 1", 1))
	if err := os.WriteFile(plan, text, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ExitNo, env, "forecast", "--days", "300", plan)
	for _, words := range []string{"both 0.0 %", "DOES NOT HOLD", "the smallest that holds"} {
		if !strings.Contains(out.String(), words) {
			t.Errorf("forecast does not say %q:\n%s", words, out)
		}
	}
}

func TestForecastRefuses(t *testing.T) {
	env, _, errs, dir := bench(t)
	run(t, ExitUsage, env, "forecast", "--days", "3", filepath.Join(dir, config.USPlan))
	if !strings.Contains(errs.String(), "100 to 1000000") {
		t.Errorf("says %q", errs)
	}
	run(t, ExitUsage, env, "forecast", filepath.Join(dir, "no-such.toml"))
	errs.Reset()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	env.Args = []string{"forecast", filepath.Join(dir, config.USPlan)}
	if got := Run(ctx, env); got != ExitFailed || !strings.Contains(errs.String(), "stopped") {
		t.Errorf("stopped half way it ends with %d and says %q", got, errs)
	}
}

// slowClock moves on by a fifth of a second at each look.
type slowClock struct{ gone time.Duration }

func (c *slowClock) Now() daylog.Reading {
	c.gone += 200 * time.Millisecond
	return daylog.Reading{Wall: time.Date(2026, 5, 2, 4, 0, 0, 0, time.UTC).Add(c.gone), Mono: c.gone}
}

// The bar is for terminals, comes only when it takes long, and leaves nothing.
func TestForecastBar(t *testing.T) {
	env, out, errs, dir := bench(t)
	env.Clock, env.Terminal = &slowClock{}, true
	run(t, ExitOK, env, "forecast", "--days", "100", filepath.Join(dir, config.USPlan))
	if s := errs.String(); !strings.Contains(s, "of 3400 days") || !strings.HasSuffix(s, " \r") || strings.Contains(out.String(), "[#") {
		t.Errorf("the bar shows %q", s)
	}
	if first := strings.SplitN(errs.String(), "]", 2)[0]; !strings.Contains(first, "#") {
		t.Errorf("the bar begins with %q, before half a second", first)
	}
	errs.Reset()
	env.Terminal = false
	run(t, ExitOK, env, "forecast", "--days", "100", filepath.Join(dir, config.USPlan))
	if errs.Len() != 0 {
		t.Errorf("without a terminal it shows %q", errs)
	}
}

// A slab hotter than the sheet goes gives no figure: none is printed, the verdict
// says what is missing, and the command ends with 1.
func TestForecastWithoutFigures(t *testing.T) {
	env, out, _, dir := bench(t)
	plan := filepath.Join(dir, config.MetricPlan)
	text, err := os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	hot := regexp.MustCompile(`(?m)^slab = .*$`).ReplaceAll(text, []byte("slab = 40"))
	if err := os.WriteFile(plan, hot, 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, ExitNo, env, "forecast", "--days", "100", plan)
	got := out.String()
	for _, words := range []string{"edge and buckets: no figure", "opening: no figure", "NO VERDICT", "edge life", "outside the sheet"} {
		if !strings.Contains(got, words) {
			t.Errorf("forecast does not say %q:\n%s", words, got)
		}
	}
	head, _, _ := strings.Cut(got, "ZONE")
	if at := regexp.MustCompile(`holds \d|down after|one day in ten|opening [A-Z]|smallest`).FindString(head); at != "" {
		t.Errorf("invented %q:\n%s", at, got)
	}
	out.Reset()
	run(t, ExitNo, env, "forecast", "--json", "--days", "100", plan)
	var data map[string]any
	if err := json.Unmarshal(out.Bytes(), &data); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"edge_holds", "both", "laid_p50_s", "opening", "crews", "smallest_crew"} {
		if data[key] != nil {
			t.Errorf("data gives %s as %v", key, data[key])
		}
	}
	if missing, _ := data["missing"].([]any); len(missing) == 0 {
		t.Error("data does not say what is missing")
	}
}
