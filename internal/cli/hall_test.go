package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"floorpace/config"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
)

// hallPlan is an invented plan of one hall, w by l metres, poured with the
// invented flow epoxy of the examples at 2.5 mm: 5.71 m² a kit. The hall has a
// column, a drain, a deeper bay, a stop line and a spot, so that a picture of
// it has everything a picture can have.
func hallPlan(w, l float64, kits int) string {
	return fmt.Sprintf(`# INVENTED: a hall for tests. No such place or material exists.
title = "Invented hall, flow epoxy 2.5 mm"
site = "invented: test hall"
units = "metric"
handover = 2026-09-11T18:00:00+02:00
opening = 2026-09-15T06:00:00+02:00
opening_use = "wheels"
preparation = "8 h"
station_room = "outside"
sheet = "flow-epoxy.toml"

[rules]
loss = "5 %%"
cure_slab = 18

[crew]
mixers = 3
runners = 3
buckets = 8
reset = "1:00"
load = "0:10"
pour = "0:30"
rake = "9 m²/min"
roll = "12 m²/min"
broadcast = 0

[[kits]]
lot = "INV-B201"
blend = "standard"
whole = %d

[[kits]]
lot = "INV-B202"
blend = "standard"
whole = %d

[readings]
at = 2026-09-12T01:30:00+02:00
slab = 18
air = 19
humidity = "50 %%"
kit = 19
slab_rh = "72 %%"
moisture_tests = 5
profile = 3

[[readings.spot]]
zone = "Hall"
spot = "gate"
slab = 17

[[zone]]
name = "Hall"
outline = [[0, 0], [%g, 0], [%[3]g, %[4]g], [0, %[4]g]]
depth = 2.5
pull = "+y"
row_depth = 0.75
start = "left"
pattern = "same side"
station = [-2, %[4]g]

[[zone.column]]
name = "K1"
at = [%[5]g, %[6]g]
size = [0.4, 0.4]

[[zone.drain]]
name = "gully"
at = [%[7]g, %[8]g]
size = ["300 mm", "300 mm"]

[[zone.bay]]
name = "pit edge"
outline = [[0, 0], [%[9]g, 0], [%[9]g, %[10]g], [0, %[10]g]]
depth = 3

[[zone.stop_line]]
name = "joint"
from = [0, %[6]g]
to = [%[3]g, %[6]g]

[[zone.spot]]
name = "gate"
at = [1, 1]
radius = 2
`, kits/2, kits-kits/2, w, l, w*0.7, l/2, w*0.3, l*0.25, w/4, l/8)
}

// scripted is a day poured by a script: the presses of a crew at a steady beat,
// on a real log.
type scripted struct {
	t     *testing.T
	plan  *loaded
	clock *fastClock
	desk  *shift.Desk
	log   *daylog.Log
	dir   string
}

// writeHall writes a plan with its sheet, and loads it.
func writeHall(t *testing.T, dir, plan string) *loaded {
	t.Helper()
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
	return p
}

// beginHall writes a plan, opens the log of its day and is ready to pour. fsys
// and opt say on which disks.
func beginHall(t *testing.T, dir, plan string, fsys daylog.FS, opt daylog.Options) *scripted {
	t.Helper()
	p := writeHall(t, dir, plan)
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		t.Fatal(err)
	}
	s := &scripted{t: t, plan: p, clock: &fastClock{from: p.Plan.Handover.Add(p.Plan.Preparation)}, dir: filepath.Join(dir, "hall.days", "2026-09-12")}
	opt.App, opt.Ballast = "floorpace "+Version, -1
	s.log, err = daylog.Create(fsys, s.dir, daylog.Header{Station: "A", Day: "2026-09-12", Plan: p.Wire}, s.clock, opt)
	if err != nil {
		t.Fatal(err)
	}
	c, err := daylog.Read(daylog.OS(), s.log.Path())
	if err != nil {
		t.Fatal(err)
	}
	s.desk = shift.Open(p.Plan, floors, s.log, s.clock, c.Records, nil)
	s.desk.Steady()
	return s
}

func (s *scripted) press(q day.Press) {
	s.t.Helper()
	if a := s.desk.Press(q); a.Refused != "" || a.Unsaved {
		s.t.Fatalf("%s at %s: %q, unsaved %v", q.Kind, s.clock.Now().Wall.Format("15:04:05"), a.Refused, a.Unsaved)
	}
}

// read takes the four readings and the spot.
func (s *scripted) read(slab, air, rh, kit float64) {
	s.t.Helper()
	for _, q := range []struct {
		what, spot string
		v          float64
	}{{day.ReadSlab, "", slab}, {day.ReadSlab, "Hall/gate", slab - 1}, {day.ReadAir, "", air}, {day.ReadHumidity, "", rh}, {day.ReadKit, "", kit}} {
		s.press(day.Press{Kind: day.ReadingTaken, What: q.what, Spot: q.spot, Value: day.Value(q.v)})
	}
}

// pour pours batches [from, to]: one starts every 80 seconds and goes down four
// minutes later. Every 12th front is marked, every 20th batch the crew reads,
// the 7th of every 50 is scrapped, the 30th is held up, the 11th pressed twice
// and taken back. rest closes the zone with a part batch when the floor is full.
func (s *scripted) pour(from, to int) {
	s.t.Helper()
	const beat, ahead = 80 * time.Second, 3
	for i := from; i <= to+ahead; i++ {
		if i%20 == 0 {
			h := float64(i) / 45
			s.read(18+0.4*h, 19+0.5*h, 0.50+0.005*h, 19+0.3*h)
		}
		if i%50 == 30 {
			s.press(day.Press{Kind: day.HoldBegan, Why: "WAY BLOCKED"})
			s.clock.add(150 * time.Second)
			s.desk.Tick()
			s.press(day.Press{Kind: day.HoldEnded})
		}
		if i <= to {
			s.press(day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		}
		s.clock.add(20 * time.Second)
		if no := i - ahead; no >= from {
			switch no % 50 {
			case 7:
				s.press(day.Press{Kind: day.BatchScrapped, Batch: no, Why: "dropped"})
			case 11:
				s.press(day.Press{Kind: day.NoteWritten, Text: "bubbles, see there"})
				s.press(day.Press{Kind: day.PressUndone})
				fallthrough
			default:
				s.press(day.Press{Kind: day.BatchPoured, Batch: no})
			}
			if no%12 == 0 {
				z, litres := &s.desk.State().Zones[0], 0.0
				for _, l := range z.Laid {
					litres += l.PouredL
				}
				s.press(day.Press{Kind: day.FrontMarked, AreaM2: day.Value(z.Floor.Path.AreaAt(litres * 0.985))}) // a little thick
			}
		}
		s.clock.add(beat - 20*time.Second)
		if i%10 == 0 {
			s.desk.Tick()
		}
	}
}

// end closes the zone and seals the day.
func (s *scripted) end() {
	s.t.Helper()
	s.press(day.Press{Kind: day.ZoneClosed})
	if _, _, err := s.log.Seal(); err != nil {
		s.t.Fatal(err)
	}
	s.close()
}

func (s *scripted) close() {
	s.t.Helper()
	if err := s.log.Close(); err != nil {
		s.t.Fatal(err)
	}
}

// hall300 and hall5 are halls that so many batches fill.
func hall300() string { return hallPlan(28, 60, 330) }
func hall5() string   { return hallPlan(5.5, 5, 8) }

// pouredHall is a whole day of n batches with its folder.
func pouredHall(t *testing.T, dir, plan string, n int) string {
	t.Helper()
	s := beginHall(t, dir, plan, daylog.OS(), daylog.Options{})
	s.pour(1, n)
	s.end()
	return s.dir
}
