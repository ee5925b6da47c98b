package plan

import (
	"fmt"
	"math"
	"strings"

	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

func checkSheet(s *sheet.Sheet, ps *problems) {
	if len(s.Blends) == 0 {
		ps.add("sheet.blend", "the data sheet has no blend", "add a [[blend]] with its yield, steps and lives")
	}
	names := map[string]bool{}
	for i := range s.Blends {
		b, key := &s.Blends[i], fmt.Sprintf("sheet.blend.%d", i)
		if b.Name == "" || names[strings.ToLower(b.Name)] {
			ps.add(key+".name", "a blend needs a name of its own", `write name = "plain"`)
		}
		names[strings.ToLower(b.Name)] = true
		checkBlend(b, key, ps)
	}
	l := &s.Limits
	inRange(ps, units.Metric, units.Share, "sheet.limits.humidity_max", l.HumidityMax, 0, 1, "a humidity such as 85 %")
	inRange(ps, units.Metric, units.Share, "sheet.limits.slab_rh_max", l.SlabRHMax, 0, 1, "a humidity such as 75 %")
	if l.CSPMin < 0 || l.CSPMax > 10 || l.CSPMin > l.CSPMax {
		ps.add("sheet.limits.profile", "a surface profile runs from 1 to 10", "write profile = [3, 5]")
	}
	for _, v := range []struct {
		key string
		v   float64
	}{{"dew_margin", l.DewMarginC}, {"mver_max", l.MVERMax}, {"slab_kit_gap", l.SlabKitGapC}, {"part_tolerance", l.PartTolerance}} {
		if v.v < 0 || math.IsNaN(v.v) {
			ps.add("sheet.limits."+v.key, "a limit cannot be negative", "write the sheet's own figure")
		}
	}
}

func checkBlend(b *sheet.Blend, key string, ps *problems) {
	above(ps, key+".yield", b.YieldL)
	if len(b.Steps) == 0 {
		ps.add(key+".step", "the blend has no mix step", `add [[blend.step]] name = "A and colour", time = "0:30"`)
	}
	starts := 0
	for i, s := range b.Steps {
		above(ps, fmt.Sprintf("%s.step.%d.time", key, i), s.Time.Seconds())
		if s.Starts {
			starts++
		}
	}
	if starts > 1 {
		ps.add(key+".step", "%d steps start the reaction", "mark one step only with starts = true", starts)
	}
	if b.EdgeLife.Empty() {
		ps.add(key+".edge_life", "the blend has no edge life", `write edge_life = { "10 °C" = "20 min", "20 °C" = "12 min" }`)
	}
	if b.SlabMaxC < b.SlabMinC {
		ps.add(key+".slab", "the slab range ends below its start", `write slab = ["10 °C", "30 °C"]`)
	}
	tables := []struct {
		key string
		t   sheet.Table
	}{
		{"bucket_life", b.BucketLife},
		{"edge_life", b.EdgeLife},
		{"roll_until", b.RollUntil},
		{"broadcast_from", b.BroadcastFrom},
		{"broadcast_until", b.BroadcastUntil},
	}
	for _, c := range b.Cures {
		if !known(sheet.Uses, c.Use) {
			ps.add(key+".cure."+c.Use, "%q is not a use", "write one of "+strings.Join(sheet.Uses, ", "), c.Use)
		}
		tables = append(tables, struct {
			key string
			t   sheet.Table
		}{"cure." + c.Use, c.Hours})
	}
	for _, t := range tables {
		for _, what := range t.t.Problems() {
			ps.add(key+"."+t.key, "%s", "copy the table from the data sheet again", what)
		}
	}
}
