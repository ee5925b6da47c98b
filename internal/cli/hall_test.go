package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/rehearsal"
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

// pourHall pours a hall with an invented crew and gives the folder of its day.
func pourHall(t *testing.T, dir, plan string, seed uint64) string {
	t.Helper()
	name := filepath.Join(dir, "hall.toml")
	if err := os.WriteFile(name, []byte(plan), 0o644); err != nil {
		t.Fatal(err)
	}
	p, err := loadPlan(name)
	if err != nil {
		t.Fatal(err)
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		t.Fatal(err)
	}
	clock := &fastClock{from: p.Plan.Handover.Add(p.Plan.Preparation)}
	log, records, path, err := demoLog(p, clock, filepath.Join(dir, "hall.days", "2026-09-12"))
	if err != nil {
		t.Fatal(err)
	}
	desk := shift.Open(p.Plan, floors, log, clock, records, nil)
	desk.Steady()
	v := rehearse(desk, rehearsal.New(p.Plan, seed), clock, demoMost)
	l := log.(*daylog.Log)
	seal(l, v)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return filepath.Dir(path)
}
