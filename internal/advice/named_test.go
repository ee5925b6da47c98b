package advice

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
)

// Whatever the day, every kind of way out that the crew could think of is either
// offered with its figures or named with the reason why not: nobody is left to
// wonder whether it was looked at.
func TestEveryWayIsOfferedOrRefused(t *testing.T) {
	kinds := []string{
		"mixer", "runner", "narrow", "row", "same-side", "buckets", "station", "cool-kits", "blend", "slow", "heat", "stop", "stop-now",
	}
	toAndFro := func(p *plan.Plan) { p.Zones[0].Pattern = plan.ToAndFro }
	stopLine := func(p *plan.Plan) {
		p.Zones[0].StopLines = []floor.Line{{Name: "door", A: floor.Point{Y: 14}, B: floor.Point{X: 9, Y: 14}}}
	}
	one := func(p *plan.Plan) { p.Crew.Runners, p.Crew.Buckets = 1, 1 }
	many := func(p *plan.Plan) { p.Crew.Runners = 8 }
	far := func(p *plan.Plan) { p.Zones[0].Station = floor.Point{X: 3, Y: -40} }
	for name, c := range map[string]struct {
		mixers, laid int
		change       func(*plan.Plan)
	}{
		"all well":                {3, 6, nil},
		"nothing laid":            {3, 0, nil},
		"too few mixers":          {2, 6, nil},
		"to and fro":              {3, 6, toAndFro},
		"a stop line":             {2, 6, stopLine},
		"one of everything":       {1, 3, one},
		"as many as there can be": {8, 6, many},
		"far station":             {3, 6, far},
	} {
		p := cellar(c.mixers, 0.03)
		if c.change != nil {
			c.change(p)
		}
		d := open(t, p)
		if c.laid > 0 {
			d.pour(c.laid, 100*time.Second, 215*time.Second, 1)
		}
		o := d.judge(100)
		for _, k := range kinds {
			said := 0
			for _, w := range o.Ways {
				if w.ID == k || strings.HasPrefix(w.ID, k+":") {
					said++
					if w.Figure == "" {
						t.Errorf("%s: %s is offered without a figure", name, w.ID)
					}
				}
			}
			for _, r := range o.Refused {
				if r.ID == k || strings.HasPrefix(r.ID, k+":") {
					said++
					if r.Why == "" || r.What == "" {
						t.Errorf("%s: %s is refused without a reason", name, r.ID)
					}
				}
			}
			if said == 0 {
				t.Errorf("%s: nothing is said of %q", name, k)
			}
		}
		show(t, name, o)
	}
}
