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
		"500 days, seed 1", "asked for 95.0 %", "ZONE Hall", "ZONE Wash bay", "55 kits", " planned", "the smallest that holds at 95.0 %: 2 mixers, 1 runner, 5 buckets",
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
	for _, words := range []string{"both < 1.0 %", "DOES NOT HOLD", "the smallest that holds"} {
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

// What is printed fits 80 columns and ends no line with a blank, whatever the plan:
// long names, one batch, no figures. A share of 100 in 100 is never claimed from a
// study that cannot tell: by the rule of three, 3 in n.
func TestForecastFitsThePage(t *testing.T) {
	env, out, _, dir := bench(t)
	read := func(name string) string {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	us := read(config.USPlan)
	head, _, _ := strings.Cut(us, "# The hall:")
	long := strings.Repeat("bottle washer ", 5) + "end"
	for name, text := range map[string]string{
		"us":     us,
		"metric": read(config.MetricPlan),
		"one":    head + "[[zone]]\nname = \"" + long + "\"\noutline = [[0, 0], [4, 0], [4, 3], [0, 3]]\ndepth = \"1/4 in\"\nstation = [2, -3]\n",
		"cold":   strings.Replace(us, "slab = 64", "slab = 46", 1),
		"weak":   strings.Replace(us, "mixers = 2", "mixers = 1", 1),
	} {
		out.Reset()
		plan := filepath.Join(dir, name+"-fits.toml")
		if err := os.WriteFile(plan, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		env.Args = []string{"forecast", "--days", "200", plan}
		if got := Run(context.Background(), env); got != ExitOK && got != ExitNo {
			t.Fatalf("%s: ends with %d", name, got)
		}
		for line := range strings.Lines(out.String()) {
			line = strings.TrimSuffix(line, "\n")
			if n := len([]rune(line)); n > 80 || strings.HasSuffix(line, " ") {
				t.Errorf("%s: %d columns: %q", name, n, line)
			}
		}
		if strings.Contains(out.String(), "holds 100") || strings.Contains(out.String(), "1 kits") {
			t.Errorf("%s:\n%s", name, out)
		}
	}
	for _, c := range []struct {
		share float64
		days  int
		want  string
	}{{1, 10000, "> 99.9 %"}, {1, 300, "> 99.0 %"}, {0, 300, "< 1.0 %"}, {0.5, 100, "50.0 %"}, {0.9999, 10000, "> 99.9 %"}} {
		if got := chance(c.share, c.days); got != c.want {
			t.Errorf("chance(%v, %d) is %q, want %q", c.share, c.days, got, c.want)
		}
	}
}
