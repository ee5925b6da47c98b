package planfile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// wholeKit is the part of a blend whose sheet lists none: the kit itself.
const wholeKit = "kit"

// readSheet reads a data sheet, in a file of its own or under [sheet].
func readSheet(t *table, s *sheet.Sheet) {
	t.system(&t.sys)
	t.text("name", &s.Name, `the material's name in quotes`)
	t.list("blend", func(_ int, b *table) {
		s.Blends = append(s.Blends, sheet.Blend{})
		readBlend(b, &s.Blends[len(s.Blends)-1])
	})
	t.child("limits", func(l *table) { readLimits(l, &s.Limits) })
}

// system reads the units of the file.
func (t *table) system(out *units.System) {
	v, ok := t.get("units")
	if !ok {
		return
	}
	s, _ := v.(string)
	sys, err := units.ParseSystem(s)
	if err != nil {
		t.fault("units", "this is not a system of units", `write units = "us" or units = "metric"`)
		return
	}
	*out = sys
}

func readBlend(t *table, b *sheet.Blend) {
	t.text("name", &b.Name, `name = "plain"`)
	t.flag("accelerated", &b.Accelerated)
	readYield(t, b)
	t.list("step", func(_ int, c *table) {
		var s sheet.Step
		c.text("name", &s.Name, `name = "A and B"`)
		if !c.has("time") {
			c.missing("time", "the step has no time", `write time = "0:30"`)
		}
		c.duration("time", &s.Time)
		c.flag("starts", &s.Starts)
		b.Steps = append(b.Steps, s)
	})
	t.list("part", func(_ int, c *table) {
		var p sheet.Part
		c.text("name", &p.Name, `name = "A"`)
		c.quantity("weight", units.Mass, &p.KgPerKit)
		if !c.has("name") {
			c.missing("name", "a part needs a name", `write name = "A"`)
		}
		b.Parts = append(b.Parts, p)
	})
	if len(b.Parts) == 0 {
		b.Parts = []sheet.Part{{Name: wholeKit}}
	}
	t.span("slab", units.Temp, &b.SlabMinC, &b.SlabMaxC)
	for _, l := range []struct {
		key string
		t   *sheet.Table
	}{
		{"bucket_life", &b.BucketLife},
		{"edge_life", &b.EdgeLife},
		{"roll_until", &b.RollUntil},
		{"broadcast_from", &b.BroadcastFrom},
		{"broadcast_until", &b.BroadcastUntil},
	} {
		t.life(l.key, l.t, false)
	}
	t.child("cure", func(c *table) {
		for _, use := range sheet.Uses {
			cure := sheet.Cure{Use: use}
			if c.life(use, &cure.Hours, true); c.has(use) {
				b.Cures = append(b.Cures, cure)
			}
		}
	})
}

// readYield reads a yield as a volume, as an area at a depth, or as both when
// they agree.
func readYield(t *table, b *sheet.Blend) {
	if !t.has("yield") && !t.has("yield_volume") && !t.has("yield_area") {
		t.missing("yield yield_volume yield_area", "the blend has no yield", `write yield = "14 L", or "66 ft² at 1/8 in"`)
	}
	var written []string
	var volume, area units.Yield
	for _, key := range []string{"yield", "yield_volume", "yield_area"} {
		v, ok := t.get(key)
		if !ok {
			continue
		}
		y, ok := t.yield(key, v)
		isVolume := y.VolumeL > 0
		if ok {
			written = append(written, key)
		}
		switch {
		case !ok: // said already
		case key == "yield_volume" && !isVolume:
			t.fault(key, "this is an area at a depth", `write a volume such as "14 L", or call it yield`)
			ok = false
		case key == "yield_area" && isVolume:
			t.fault(key, "this is a volume", `write an area at a depth such as "66 ft² at 1/8 in", or call it yield`)
			ok = false
		case isVolume:
			volume = y
		default:
			area = y
		}
		if !ok {
			t.r.wrong = append(t.r.wrong, t.path("yield"))
		}
	}
	// The volume is what is weighed and measured; the area is only checked
	// against it.
	if b.YieldL = volume.Litres(); b.YieldL == 0 {
		b.YieldL = area.Litres()
	}
	if len(written) < 2 || volume.Litres() == 0 || area.Litres() == 0 {
		if len(written) == 2 && isIn(written, "yield") {
			t.fault("yield", "the yield is given twice in the same form", "keep one")
		}
		return
	}
	if diff, ok := units.Agree(volume, area); !ok {
		t.fault(written[1], fmt.Sprintf("%s and %s differ by %.1f %%", volume.Format(t.sys), area.Format(t.sys), 100*diff),
			"look both up in the data sheet again: they must be the same kit")
	}
}

func (t *table) yield(key string, v any) (units.Yield, bool) {
	if s, ok := v.(string); ok {
		y, err := units.ParseYield(s, t.sys)
		if err != nil {
			what, mend := refused(err, "")
			t.fault(key, what, mend)
			return y, false
		}
		return y, true
	}
	var y units.Yield
	if !t.figure(key, t.spot(key), units.Volume, v, &y.VolumeL) {
		return y, false
	}
	if y.VolumeL <= 0 {
		t.fault(key, "it must be above zero", "write what one kit gives when mixed")
		return y, false
	}
	return y, true
}

// life reads times against temperature: a table { "10 °C" = "20 min" }, a list
// of pairs [["10 °C", "20 min"]], or one time that holds at any temperature.
// In cure tables the unit of a time must be written.
func (t *table) life(key string, out *sheet.Table, cure bool) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	l := tableLines{t: t, key: key, cure: cure}
	switch v := v.(type) {
	case map[string]any:
		k := t.p.kids[key]
		for _, temp := range k.order {
			l.add(k.kids[temp].key, k.kids[temp].value, temp, v[temp])
		}
		// A table has no order of its own.
		slices.SortStableFunc(l.lines, func(a, b tableLine) int { return cmp.Compare(a.TempC, b.TempC) })
	case []any:
		at := t.items(key)
		for i, item := range v {
			pair, ok := item.([]any)
			if !ok || len(pair) != 2 {
				l.fault(at(i), "this is not a temperature and a time", `write ["10 °C", "20 min"]`)
				continue
			}
			l.add(at(i), at(i), pair[0], pair[1])
		}
	default:
		if t.lifeTime(key, t.spot(key), v, &out.Always, cure) && out.Always <= 0 {
			t.fault(key, "it must be above zero", "write the sheet's own figure")
		}
		return
	}
	if l.check(); !l.bad {
		for _, p := range l.lines {
			out.Points = append(out.Points, p.Point)
		}
	}
}

// tableLines is a table of times against temperature while it is read.
type tableLines struct {
	t     *table
	key   string
	cure  bool
	lines []tableLine
	bad   bool
}

// tableLine is one point with its place.
type tableLine struct {
	sheet.Point
	at int
}

func (l *tableLines) fault(at int, what, mend string) {
	l.t.faultAt(l.key, at, what, mend)
	l.bad = true
}

func (l *tableLines) add(tempAt, timeAt int, temp, long any) {
	p := tableLine{at: tempAt}
	okTemp := l.t.figure(l.key, tempAt, units.Temp, temp, &p.TempC)
	okTime := l.t.lifeTime(l.key, timeAt, long, &p.Time, l.cure)
	if okTemp && okTime {
		l.lines = append(l.lines, p)
	} else {
		l.bad = true
	}
}

// check says what sheet.Table.Problems would, in the crew's units and at the
// line that is wrong.
func (l *tableLines) check() {
	if len(l.lines) > maxList {
		l.fault(l.t.spot(l.key), fmt.Sprintf("the table has %d lines", len(l.lines)), fmt.Sprintf("write %d at most", maxList))
		return
	}
	const copyAgain = "copy the table from the data sheet again"
	temp := func(c float64) string { return units.Format(units.Temp, c, l.t.sys) }
	for i, p := range l.lines {
		if p.Time <= 0 {
			l.fault(p.at, "the time at "+temp(p.TempC)+" must be above zero", copyAgain)
		}
		if i == 0 {
			continue
		}
		q := l.lines[i-1]
		switch {
		case math.Abs(p.TempC-q.TempC) < sameTempC:
			l.fault(p.at, temp(p.TempC)+" stands twice", "keep one")
		case p.TempC < q.TempC:
			l.fault(p.at, temp(p.TempC)+" stands after "+temp(q.TempC), "put the lines in rising temperature")
		case p.Time >= q.Time && p.Time > 0:
			l.fault(p.at, fmt.Sprintf("the time does not fall from %s to %s, but warmer material sets sooner", temp(q.TempC), temp(p.TempC)), copyAgain)
		}
	}
}

// sameTempC is the difference below which two temperatures are one: far below
// any thermometer, above the rounding of °F.
const sameTempC = 1e-6

func (t *table) lifeTime(key string, off int, v any, out *time.Duration, cure bool) bool {
	if s, isText := v.(string); cure && (!isText || bareNumber(s)) {
		t.faultAt(key, off, "a cure without a unit could be hours or minutes", `write "40 h"`)
		return false
	}
	return t.time(key, off, v, out)
}

// bareNumber reports a text that holds a figure but no unit and no colon.
func bareNumber(s string) bool {
	for _, r := range s {
		if (r < '0' || r > '9') && r != '.' && r != ' ' {
			return false
		}
	}
	return s != ""
}

func readLimits(t *table, l *sheet.Limits) {
	t.span("air", units.Temp, &l.AirMinC, &l.AirMaxC)
	t.span("kit", units.Temp, &l.KitMinC, &l.KitMaxC)
	t.quantity("humidity_max", units.Share, &l.HumidityMax)
	t.quantity("dew_margin", units.TempDiff, &l.DewMarginC)
	t.quantity("slab_kit_gap", units.TempDiff, &l.SlabKitGapC)
	t.number("mver_max", &l.MVERMax)
	t.quantity("slab_rh_max", units.Share, &l.SlabRHMax)
	if v, ok := t.get("profile"); ok {
		list, _ := v.([]any)
		if len(list) != 2 {
			t.fault("profile", "this is not a pair of two whole numbers", "write profile = [3, 5]")
		} else {
			at := t.items("profile")
			t.whole("profile", at(0), list[0], &l.CSPMin)
			t.whole("profile", at(1), list[1], &l.CSPMax)
		}
	}
	t.quantity("part_tolerance", units.Share, &l.PartTolerance)
	t.flag("part_kits_by_volume", &l.VolumeAllowed)
	t.quantity("lift_until", units.Share, &l.LiftUntil)
}
