package planfile

import (
	"fmt"
	"math"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

// roundSides is how many sides stand for a round column: its area is exact and
// its edge within 1 % of the diameter.
const roundSides = 24

func readZone(t *table, i int, p *plan.Plan) {
	z := plan.DefaultZone()
	t.text("name", &z.Name, `name = "A"`)
	if !t.has("outline") {
		t.missing("outline", "the zone has no outline", "write outline = [[0, 0], [9, 0], [9, 14], [0, 14]]")
	}
	z.Outline, _ = t.outline("outline") // one that crosses itself still places its parts
	t.positive("depth", units.Depth, &z.DepthM, t.path("depth"))
	t.quantity("allowance", units.Depth, &z.AllowanceM)
	t.text("blend", &z.Blend, `blend = "plain", a blend of the sheet`)
	t.pull(&z.PullDeg)
	t.quantity("row_depth", units.Length, &z.RowDepthM)
	t.choice("start", []string{"left", "right"}, func(i int) { z.StartLeft = i == 0 })
	t.choice("pattern", []string{"same side", "to and fro", "out and back"}, func(i int) {
		z.Pattern = []plan.Pattern{plan.SameSide, plan.ToAndFro, plan.OutAndBack}[i]
	})
	t.quantity("cell", units.Length, &z.CellM)
	if !t.has("station") {
		t.missing("station", "the zone does not say where the mixers stand", "write station = [x, y]; outside the outline is fine")
	}
	t.point("station", &z.Station)
	t.duration("move", &z.Move)
	t.flag("one_lot", &z.OneLot)
	t.text("room", &z.Room, `room = "cold store", the name of a room`)
	readHoles(t, i, &z)
	t.list("bay", func(_ int, c *table) {
		var b floor.Bay
		c.text("name", &b.Name, `name = "at the drain"`)
		b.Outline = c.shape(c.key, "bay")
		c.positive("depth", units.Depth, &b.DepthM, c.key)
		z.Bays = append(z.Bays, b)
	})
	t.list("panel", func(_ int, c *table) {
		var b floor.Panel
		c.text("name", &b.Name, `name = "P1"`)
		b.Outline = c.shape(c.key, "panel")
		z.Panels = append(z.Panels, b)
	})
	t.list("stop_line", func(_ int, c *table) {
		l := floor.Line{A: floor.NoPoint, B: floor.NoPoint}
		c.text("name", &l.Name, `name = "joint 3"`)
		okA, okB := c.point("from", &l.A), c.point("to", &l.B)
		if c.has("from") && !okA || c.has("to") && !okB {
			t.r.wrong = append(t.r.wrong, c.key)
		}
		z.StopLines = append(z.StopLines, l)
	})
	readPlaces(t, &z)
	p.Zones = append(p.Zones, z)
}

// readPlaces reads doors, spots and further take-off lines.
func readPlaces(t *table, z *plan.Zone) {
	t.list("door", func(_ int, c *table) {
		d := plan.Door{Door: floor.Door{At: floor.NoPoint, To: floor.Outside}}
		c.text("name", &d.Name, `name = "dock door"`)
		if !c.point("at", &d.At) && c.has("at") {
			t.r.wrong = append(t.r.wrong, c.key)
		}
		c.text("to", &d.To, `to = "outside", or what the door leads to`)
		c.instant("open_from", &d.OpenFrom)
		c.instant("open_until", &d.OpenUntil)
		z.Doors = append(z.Doors, d)
		z.Zone.Doors = append(z.Zone.Doors, d.Door)
	})
	t.list("spot", func(_ int, c *table) {
		s := floor.Spot{At: floor.NoPoint}
		c.text("name", &s.Name, `name = "at the door"`)
		if !c.point("at", &s.At) && c.has("at") {
			t.r.wrong = append(t.r.wrong, c.key)
		}
		if !c.has("radius") {
			c.missing("radius", "the spot does not say how far its reading holds", "write radius = 3")
		}
		c.quantity("radius", units.Length, &s.RadiusM)
		var h plan.SpotHours
		c.instant("from", &h.From)
		c.instant("until", &h.Until)
		z.Spots, z.Hours = append(z.Spots, s), append(z.Hours, h)
	})
	t.list("extra", func(_ int, c *table) {
		var l plan.Line
		c.text("name", &l.Name, `name = "cove base"`)
		c.text("unit", &l.Unit, `unit = "kg"`)
		// A rate per foot or square foot, turned into one per metre or m².
		if c.number("per_area", &l.PerM2) {
			l.PerM2 /= units.From(units.Area, 1, c.sys)
		}
		if c.number("per_length", &l.PerM) {
			l.PerM /= units.From(units.Length, 1, c.sys)
		}
		c.quantity("length", units.Length, &l.LengthM)
		switch {
		case l.LengthM < 0:
			c.fault("length", "a length cannot be negative", "write it without the minus sign")
		case c.has("per_length") != c.has("length"):
			c.missing("length", "per_length and length belong together", "write both, or per_area alone")
		case !c.has("per_length") && !c.has("per_area"):
			c.missing("per_area", "the line has no rate", "write per_area = 1.5, or per_length = 0.4 and length = 40")
		}
		z.Cove = append(z.Cove, l)
	})
}

// readHoles reads columns and drains into the list of what is not poured.
func readHoles(t *table, i int, z *plan.Zone) {
	for _, kind := range []string{"column", "drain"} {
		t.list(kind, func(_ int, c *table) {
			h := floor.Hole{Drain: kind == "drain"}
			c.text("name", &h.Name, `name = "C4"`)
			key := fmt.Sprintf("zone.%d.hole.%d", i, len(z.Holes))
			t.r.alias(key, c.key)
			h.Outline = c.shape(key, kind)
			z.Holes = append(z.Holes, h)
		})
	}
}

// shape reads an outline, or at (its middle) with a size or a diameter. checked
// is the key under which the plan's check speaks of it.
func (t *table) shape(checked, kind string) floor.Polygon {
	t.known = append(t.known, "outline", "at", "size", "diameter")
	ways := 0
	for _, k := range []string{"outline", "size", "diameter"} {
		if t.has(k) {
			ways++
		}
	}
	wrong := func() floor.Polygon {
		t.r.wrong = append(t.r.wrong, checked)
		return nil
	}
	switch {
	case ways == 0:
		t.missing("outline size diameter", "the "+kind+" has no shape", "write outline = [[x, y], …], or at = [x, y] with size = [width, depth] or diameter")
		return wrong()
	case ways > 1:
		t.faultAt("outline", t.p.key, "the "+kind+" has more than one shape", "keep one of outline, size and diameter")
		return wrong()
	case t.has("outline"):
		if t.has("at") {
			t.fault("at", "at belongs to a size or a diameter", "take it out, or the outline")
		}
		p, ok := t.outline("outline")
		if !ok {
			return wrong()
		}
		return p
	case !t.has("at"):
		t.missing("at", "the "+kind+" does not say where its middle is", "write at = [x, y]")
		return wrong()
	}
	var at floor.Point
	okAt := t.point("at", &at)
	w, d, okSize := t.size()
	if !okAt || !okSize {
		return wrong()
	}
	if t.has("diameter") {
		return round(at, w)
	}
	return floor.Polygon{
		{X: at.X - w/2, Y: at.Y - d/2},
		{X: at.X + w/2, Y: at.Y - d/2},
		{X: at.X + w/2, Y: at.Y + d/2},
		{X: at.X - w/2, Y: at.Y + d/2},
	}
}

// size reads size = [width, depth] or a diameter (then both are it).
func (t *table) size() (w, d float64, ok bool) {
	key := "size"
	if t.has("diameter") {
		key = "diameter"
		v, _ := t.get(key)
		ok = t.figure(key, t.spot(key), units.Length, v, &w)
		d = w
	} else {
		var q floor.Point
		ok = t.point(key, &q)
		w, d = q.X, q.Y
	}
	if ok && !(w > 0 && d > 0) {
		t.fault(key, "it must be above zero", "write the figure as measured")
		return 0, 0, false
	}
	return w, d, ok
}

// round is a polygon of roundSides with the area of the circle.
func round(at floor.Point, diameter float64) (out floor.Polygon) {
	step := 2 * math.Pi / roundSides
	r := diameter / 2 * math.Sqrt(step/math.Sin(step))
	for k := range roundSides {
		a := (float64(k) + 0.5) * step
		out = append(out, floor.Point{X: at.X + r*math.Cos(a), Y: at.Y + r*math.Sin(a)})
	}
	return out
}

var pulls = map[string]float64{"+x": 0, "+y": 90, "-x": 180, "-y": 270}

// pull reads the direction in which the front advances.
func (t *table) pull(out *float64) {
	v, ok := t.get("pull")
	if !ok {
		return
	}
	deg, ok := 0.0, false
	switch v := v.(type) {
	case string:
		deg, ok = pulls[v]
	case int64:
		deg, ok = float64(v), v >= -360 && v <= 360
	case float64:
		deg, ok = v, v >= -360 && v <= 360
	}
	if !ok {
		t.fault("pull", "this is not a direction", `write "+x", "-x", "+y" or "-y", or degrees anticlockwise from +x, such as 90`)
		return
	}
	*out = deg
}
