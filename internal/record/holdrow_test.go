package record

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
)

// A hold inside a row: thirteen even batches of day 6 are 28.6164 m², four rows
// and 2.155 m of the fifth, so the front stands square in the row and has a short
// edge along the pull as well. Worked by hand: a row takes 4:35.98; what waits
// longest is the place of row 4 beside the front, laid at 11:01:00 + 2.155/9 row
// = 11:02:06.1, what waits least the end of row 5, laid at 10:47:12 + 13 · 1:30
// = 11:06:42; each joinable for 10:38 (limit at 19 °C). To the half cell of the
// picture, 2.3 s.
func TestHoldInsideARow(t *testing.T) {
	p := hall(9, 12)
	b := open(t, p)
	row := mins(6.75 / (2.2012578616352201 / 1.5))
	first := clockAt(t, "11:01:00").Add(-3 * row)
	for i := range 13 {
		at := first.Add(time.Duration(i) * 90 * time.Second)
		b.press(at.Add(-3*time.Minute), day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		b.press(at, day.Press{Kind: day.BatchPoured})
	}
	b.press(clockAt(t, "11:07:00"), day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
	b.press(clockAt(t, "11:08:00"), day.Press{Kind: day.HoldEnded})
	h := b.paper().Holds[0]
	near(t, "front x", h.X, 2.155, 0.08)
	near(t, "row", h.Row, 5, 0)
	for _, w := range []struct {
		what string
		got  When
		want string
	}{{"whole edge joinable until", h.WholeTill, "11:12:44"}, {"last point joinable until", h.LastTill, "11:17:20"}} {
		if want := clockAt(t, w.want); !w.got.OK() || w.got.T.Sub(want).Abs() > 3*time.Second {
			t.Errorf("%s: %v, want %s", w.what, w.got.T, w.want)
		}
	}
}

// No instant on the papers lies outside the job: whatever is worked out from a
// log of May 2026 lies in May 2026.
func TestInstantsLieInTheJob(t *testing.T) {
	for name, b := range map[string]*book{"us": rehearsed(t, config.USPlan, 1), "metric": rehearsed(t, config.MetricPlan, 3), "sound": soundDay(t)} {
		var doc bytes.Buffer
		q := b.paper()
		if err := q.WriteJSON(&doc); err != nil {
			t.Fatal(err)
		}
		var v any
		if err := json.Unmarshal(doc.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		n := 0
		var walk func(path string, v any)
		walk = func(path string, v any) {
			switch x := v.(type) {
			case map[string]any:
				for k, e := range x {
					walk(path+"/"+k, e)
				}
			case []any:
				for _, e := range x {
					walk(path, e)
				}
			case string:
				at, err := time.Parse(time.RFC3339, x)
				if err != nil {
					return
				}
				n++
				if at.Before(b.p.Handover.AddDate(0, 0, -30)) || at.After(b.p.Opening.AddDate(0, 0, 30)) {
					t.Errorf("%s: %s is %s, the job runs from %s to %s", name, path, x, b.p.Handover, b.p.Opening)
				}
			}
		}
		walk("", v)
		if n < 20 {
			t.Errorf("%s: only %d instants", name, n)
		}
	}
}
