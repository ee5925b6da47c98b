package replay

import (
	"context"
	"strconv"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/playback"
)

// Scrub steps of the cursor keys.
const (
	scrubShort = 10 * time.Second
	scrubLong  = 5 * time.Minute
)

// move is an order that only moves the cursor.
func move(f func(*playback.Playback)) order {
	return func(d *Deck, _ context.Context) string {
		d.pb.Pause()
		f(d.pb)
		return ""
	}
}

// jump is an order that moves the cursor or says that it cannot.
func jump(f func(*playback.Playback) bool, otherwise string) order {
	return func(d *Deck, _ context.Context) string {
		if f(d.pb) {
			d.pb.Pause()
			return ""
		}
		return otherwise
	}
}

// speed is an order that leaves the cursor where it is.
func speed(f func(*playback.Playback)) order {
	return func(d *Deck, _ context.Context) string {
		f(d.pb)
		return ""
	}
}

// orders by key. Three pairs lie side by side on the lowest row of keys: v b
// for batches, n m for calls, comma and point for events.
var orders = map[string]order{
	"p": func(d *Deck, _ context.Context) string {
		if d.pb.Playing() {
			d.pb.Pause()
		} else {
			d.pb.Play()
		}
		return ""
	},
	"+":     speed((*playback.Playback).Faster),
	"=":     speed((*playback.Playback).Faster),
	"-":     speed((*playback.Playback).Slower),
	"left":  move(func(b *playback.Playback) { b.Scrub(-scrubShort) }),
	"right": move(func(b *playback.Playback) { b.Scrub(scrubShort) }),
	"down":  move(func(b *playback.Playback) { b.Scrub(-scrubLong) }),
	"up":    move(func(b *playback.Playback) { b.Scrub(scrubLong) }),
	"home":  move(func(b *playback.Playback) { b.JumpTime(b.Begin()) }),
	"end":   move(func(b *playback.Playback) { b.JumpTime(b.End()) }),
	",":     move(func(b *playback.Playback) { b.StepEvent(-1) }),
	".":     move(func(b *playback.Playback) { b.StepEvent(1) }),
	"v":     jump(func(b *playback.Playback) bool { return b.JumpBatch(-1) }, "no batch before this"),
	"b":     jump(func(b *playback.Playback) bool { return b.JumpBatch(1) }, "no batch after this"),
	"n":     jump(func(b *playback.Playback) bool { return b.JumpCall(-1) }, "no call before this"),
	"m":     jump(func(b *playback.Playback) bool { return b.JumpCall(1) }, "no call after this"),
	"i":     ask,
}

// typing is a figure being typed: where to go.
type typing struct {
	batch  bool // a batch's number; else a clock time
	digits string
}

// Key takes a key by its name; false passes it on. It never waits.
func (d *Deck) Key(name string, _ daylog.Reading) bool {
	if d.typing != nil {
		return d.type_(name)
	}
	switch name {
	case "t", "j":
		d.typing = &typing{batch: name == "j"}
		return true
	}
	do, ok := orders[name]
	if ok {
		d.order(do)
	}
	return ok
}

func (d *Deck) order(do order) {
	select {
	case d.orders <- do:
	default: // a hand that presses faster than pictures are made is not helped by a queue
	}
}

// type_ takes a key while a figure is typed: digits, Backspace, Enter; any
// other key leaves and does what it always does.
func (d *Deck) type_(name string) bool {
	q := d.typing
	switch {
	case len(name) == 1 && name[0] >= '0' && name[0] <= '9':
		if len(q.digits) < 6 {
			q.digits += name
		}
		return true
	case name == ":" && !q.batch: // 04:35 is 0435
		return true
	case name == "backspace":
		q.digits = q.digits[:max(len(q.digits)-1, 0)]
		return true
	case name == "enter":
		d.typing = nil
		d.order(q.order())
		return true
	case name == "esc":
		d.typing = nil
		return true
	}
	d.typing = nil
	return d.Key(name, daylog.Reading{})
}

// order goes to what was typed.
func (q *typing) order() order {
	if q.batch {
		no, err := strconv.Atoi(q.digits)
		return jump(func(b *playback.Playback) bool { return err == nil && b.JumpBatchNo(no) }, "batch "+q.digits+" was never poured")
	}
	return jump(func(b *playback.Playback) bool {
		t, ok := clockTime(q.digits, b.Begin(), b.End())
		if ok {
			b.JumpTime(t)
		}
		return ok
	}, "no such time on this day: write hours and minutes, 0435, or with seconds")
}

// clockTime is the first instant between begin and end at which the clock
// shows the digits, hhmm or hhmmss; hmm will do as well.
func clockTime(digits string, begin, end time.Time) (time.Time, bool) {
	if len(digits) == 3 || len(digits) == 5 {
		digits = "0" + digits
	}
	layout := map[int]string{4: "1504", 6: "150405"}[len(digits)]
	c, err := time.Parse(layout, digits)
	if layout == "" || err != nil {
		return time.Time{}, false
	}
	y, m, d := begin.Date()
	for t := time.Date(y, m, d, c.Hour(), c.Minute(), c.Second(), 0, begin.Location()); !t.After(end); t = t.AddDate(0, 0, 1) {
		if !t.Before(begin) {
			return t, true
		}
	}
	return time.Time{}, false
}

// Help lists the keys and what they do.
func (d *Deck) Help() [][2]string {
	return [][2]string{
		{"p", "play, pause"},
		{"+ -", "faster, slower, to 600×"},
		{"← →", "10 seconds back, on"},
		{"↓ ↑", "5 minutes back, on"},
		{", .", "one event back, on"},
		{"v b", "batch before, next batch"},
		{"n m", "call before, next call"},
		{"t", "go to a time, Enter"},
		{"j", "go to a batch, Enter"},
		{"home end", "begin, end of the day"},
		{"i", "what if, from here"},
	}
}
