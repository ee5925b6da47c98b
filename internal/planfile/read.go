package planfile

import (
	"fmt"
	"strings"

	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// readTop reads all of a plan but its sheet and its crew.
func readTop(t *table, p *plan.Plan) {
	t.text("title", &p.Title, `title = "what is poured, and where"`)
	t.text("site", &p.Site, `site = "the place"`)
	t.instant("handover", &p.Handover)
	t.instant("opening", &p.Opening)
	t.choice("opening_use", sheet.Uses, func(i int) { p.OpeningUse = sheet.Uses[i] })
	t.duration("inspection", &p.Inspection)
	t.duration("preparation", &p.Preparation)
	t.text("station_room", &p.StationRoom, `station_room = "outside", or the room the mixers stand in`)
	t.child("rules", func(c *table) { readRules(c, &p.Rules) })
	t.list("kits", func(_ int, c *table) { readLot(c, p) })
	t.child("readings", func(c *table) { readReadings(c, &p.Readings) })
	t.list("zone", func(i int, c *table) { readZone(c, i, p) })
	t.list("room", func(_ int, c *table) {
		var r floor.Room
		c.text("name", &r.Name, `name = "cold store"`)
		c.flag("exit", &r.Exit)
		c.names("doors", &r.Doors)
		p.Rooms = append(p.Rooms, r)
	})
}

// choice reads one of a few words.
func (t *table) choice(key string, words []string, use func(int)) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	s, _ := v.(string)
	for i, w := range words {
		if strings.EqualFold(strings.TrimSpace(s), w) {
			use(i)
			return
		}
	}
	what := fmt.Sprintf("%q is not known", s)
	if _, ok := v.(string); !ok {
		what = "this is " + kindOf(v) + ", not a word"
	}
	t.fault(key, what, `write one of "`+strings.Join(words, `", "`)+`"`)
}

// names reads a list of texts.
func (t *table) names(key string, out *[]string) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	list, ok := v.([]any)
	if !ok || len(list) > maxList {
		t.fault(key, "this is not a list of names", fmt.Sprintf(`write %s = ["one", "two"]`, key))
		return
	}
	at := t.items(key)
	for i, v := range list {
		s, ok := v.(string)
		if !ok {
			t.faultAt(key, at(i), "this is "+kindOf(v)+", not a name", "put it in quotes")
			continue
		}
		var name string
		t.plain(key, at(i), s, &name)
		*out = append(*out, name)
	}
}

// number reads a figure without a unit, zero or more.
func (t *table) number(key string, out *float64) bool {
	v, ok := t.get(key)
	if !ok {
		return false
	}
	var f float64
	switch v := v.(type) {
	case int64:
		f = float64(v)
	case float64:
		f = v
	default:
		t.fault(key, "this is "+kindOf(v)+", not a number", "write a number such as 3.5, without quotes and unit")
		return false
	}
	if !(f >= 0 && f <= 1e9) {
		t.fault(key, "the number is negative or far too large", "write the figure as measured or planned")
		return false
	}
	*out = f
	return true
}

func readRules(t *table, r *plan.Rules) {
	t.duration("edge_margin", &r.EdgeMargin)
	t.duration("bucket_margin", &r.BucketMargin)
	t.duration("turn", &r.Turn)
	t.duration("reading_every", &r.ReadingEvery)
	t.count("tally_every", &r.TallyEvery)
	t.quantity("chance", units.Share, &r.Chance)
	t.quantity("loss", units.Share, &r.Loss)
	t.quantity("thermometer_error", units.TempDiff, &r.TempErrorC)
	t.quantity("hygrometer_error", units.Share, &r.RHError)
	t.quantity("coldest_slab", units.Temp, &r.ColdestSlabC)
	t.quantity("cure_slab", units.Temp, &r.CureSlabC)
	t.flag("record_steps", &r.StepPresses)
	t.count("own_times", &r.OwnTimes)
}

func readLot(t *table, p *plan.Plan) {
	var l plan.Lot
	t.text("lot", &l.Name, `lot = "B-2214"`)
	t.text("blend", &l.Blend, `blend = "plain", a blend of the sheet`)
	l.Parts = map[string]int{}
	t.child("parts", func(c *table) {
		for _, name := range c.p.order {
			var n int
			c.count(name, &n)
			l.Parts[name] = n
		}
	})
	if v, ok := t.get("whole"); ok {
		var n int
		t.whole("whole", t.spot("whole"), v, &n)
		if n < 0 {
			t.fault("whole", "a count cannot be negative", "write how many whole kits are on hand")
			n = 0
		}
		for i := range p.Sheet.Blends {
			if b := &p.Sheet.Blends[i]; l.Blend == "" || strings.EqualFold(l.Blend, b.Name) {
				for _, part := range b.Parts {
					if part.Name != "" && !t.has("parts") {
						l.Parts[part.Name] = n
					}
				}
			}
		}
		if t.has("parts") {
			t.fault("whole", "the lot gives both whole kits and parts", "keep one")
		}
	}
	if !t.has("whole") && !t.has("parts") {
		t.missing("whole parts", "the lot does not say what is on hand", "write whole = 40, or parts = { A = 40, B = 41 }")
	}
	p.Lots = append(p.Lots, l)
}

func readReadings(t *table, r *plan.Readings) {
	t.instant("at", &r.At)
	t.quantity("slab", units.Temp, &r.SlabC)
	t.quantity("air", units.Temp, &r.AirC)
	t.quantity("humidity", units.Share, &r.Humidity)
	t.quantity("kit", units.Temp, &r.KitC)
	t.quantity("cooler_kit", units.Temp, &r.CoolerKitC)
	t.quantity("warm_slab", units.Temp, &r.WarmSlabC)
	t.duration("warm_up", &r.WarmUp)
	t.number("mver", &r.MVER)
	t.quantity("slab_rh", units.Share, &r.SlabRH)
	t.count("moisture_tests", &r.MoistureTests)
	t.count("profile", &r.CSP)
	t.list("spot", func(_ int, c *table) {
		var s plan.SpotReading
		c.text("zone", &s.Zone, `zone = "A", the name of a zone`)
		c.text("spot", &s.Spot, `spot = "at the door", the name of a spot of that zone`)
		if _, ok := c.get("slab"); !ok {
			c.missing("slab", "the spot has no slab temperature", "write slab = 11, or take the reading out")
		} else {
			c.quantity("slab", units.Temp, &s.SlabC)
		}
		r.Spots = append(r.Spots, s)
	})
}
