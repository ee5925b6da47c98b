package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/pace"
	"floorpace/internal/rehearsal"
	"floorpace/internal/shift"
)

// poursHall lets the invented crew pour the test hall for as long as it takes.
func poursHall(t *testing.T, plan string, most time.Duration) string {
	t.Helper()
	dir := t.TempDir()
	sheet, err := config.Files.ReadFile("flow-epoxy.toml")
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"flow-epoxy.toml": sheet, "hall.toml": []byte(plan)} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p, err := loadPlan(filepath.Join(dir, "hall.toml"))
	if err != nil {
		t.Fatal(err)
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		t.Fatal(err)
	}
	clock := &fastClock{from: p.Plan.Handover.Add(p.Plan.Preparation)}
	log := shift.NewMemory(clock)
	desk := shift.Open(p.Plan, floors, log, clock, log.Records(), nil)
	desk.Steady()
	v := rehearse(desk, rehearsal.New(p.Plan, 1), clock, most)
	var out bytes.Buffer
	if err := printDay(&out, desk.State(), v, "", ""); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// A crew pours a long hall to its end: a room warms for a while and then stays
// as it is. Where the crew has to stand still, the day says why and since when.
func TestCrewPoursALongHall(t *testing.T) {
	if testing.Short() {
		t.Skip("eleven hours of pouring")
	}
	if day := poursHall(t, hallPlan(28, 60, 310), 24*time.Hour); !strings.Contains(day, "100 % laid") || strings.Contains(day, "stands still") {
		t.Errorf("the hall is not poured to its end:\n%s", day)
	}
	damp := strings.Replace(hallPlan(9, 30, 60), `humidity = "50 %"`, `humidity = "84 %"`, 1)
	if day := poursHall(t, damp, 6*time.Hour); !strings.Contains(day, "stands still    HOLD DEW MARGIN since ") {
		t.Errorf("a crew that had to stop does not say why:\n%s", day)
	}
}
