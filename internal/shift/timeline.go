package shift

import (
	"time"

	"floorpace/internal/daylog"
)

// Timeline turns log records into instants of the day. Within one boot of a
// machine it counts by the clock that counts sleep; across boots it goes by the
// wall clock and says that ages over that gap are about right only. It never
// runs backwards.
type Timeline struct {
	boot   string
	base   time.Time // instant at baseMS
	baseMS int64
	last   time.Time
	approx bool
}

// At is the instant of a record. Records must come in the order of the log.
func (t *Timeline) At(r daylog.Record) (at time.Time, approx bool) {
	if r.Kind == daylog.KindOpened {
		var boot string
		r.Field("boot", &boot)
		t.begin(boot, r.Wall, r.Mono)
	}
	return t.on(t.base.Add(time.Duration(r.Mono-t.baseMS) * time.Millisecond)), t.approx
}

func (t *Timeline) begin(boot string, wall time.Time, ms int64) {
	switch {
	case t.base.IsZero():
		t.base, t.baseMS = wall, ms
	case boot != t.boot || boot == "":
		t.base, t.baseMS, t.approx = wall, ms, true
		if wall.Before(t.last) {
			t.base = t.last
		}
	}
	t.boot = boot
}

func (t *Timeline) on(at time.Time) time.Time {
	if at.Before(t.last) {
		return t.last
	}
	t.last = at
	return at
}

// Now is the instant of a reading, on the same line; it does not move it on.
func (t *Timeline) Now(r daylog.Reading) time.Time {
	at := t.base.Add(r.Mono - time.Duration(t.baseMS)*time.Millisecond)
	if at.Before(t.last) {
		return t.last
	}
	return at
}
