package cli

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"floorpace/internal/rehearsal"
)

// poursHall lets the invented crew pour the test hall for as long as it takes.
func poursHall(t *testing.T, plan string, most time.Duration) string {
	t.Helper()
	p := writeHall(t, t.TempDir(), plan)
	d, err := openDemo(p, "")
	if err != nil {
		t.Fatal(err)
	}
	v := rehearse(d.desk, rehearsal.New(p.Plan, 1), d.clock, most)
	var out bytes.Buffer
	if err := printDay(&out, d.desk.State(), v, "", ""); err != nil {
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
