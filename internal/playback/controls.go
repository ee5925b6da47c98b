package playback

import (
	"slices"
	"time"
)

// Now is the instant at the cursor.
func (b *Playback) Now() time.Time { return b.now }

// Happened is the number of events that have happened at the cursor.
func (b *Playback) Happened() int { return b.n }

// Playing tells whether Advance moves the cursor.
func (b *Playback) Playing() bool { return b.playing }

// Play lets time run; at the end it begins again.
func (b *Playback) Play() {
	if b.n >= len(b.events) && !b.now.Before(b.End()) {
		b.JumpTime(b.Begin())
	}
	b.playing = len(b.events) > 0
}

// Pause stops time.
func (b *Playback) Pause() { b.playing = false }

// Speed is day time over real time.
func (b *Playback) Speed() float64 { return b.speed }

// SetSpeed takes a speed between SlowestSpeed and FastestSpeed; others become
// the nearest of the two.
func (b *Playback) SetSpeed(x float64) {
	if !(x >= SlowestSpeed) {
		x = SlowestSpeed
	}
	b.speed = min(x, FastestSpeed)
}

// Faster takes the next of Speeds.
func (b *Playback) Faster() {
	for _, s := range Speeds {
		if s > b.speed {
			b.speed = s
			return
		}
	}
}

// Slower takes the one before.
func (b *Playback) Slower() {
	for _, s := range slices.Backward(Speeds) {
		if s < b.speed {
			b.speed = s
			return
		}
	}
}

// Advance says that so much real time has passed. It stops at the end of the
// day.
func (b *Playback) Advance(real time.Duration) {
	if !b.playing || real <= 0 {
		return
	}
	b.JumpTime(b.now.Add(time.Duration(float64(real) * b.speed)))
	if !b.now.Before(b.End()) {
		b.playing = false
	}
}

// JumpTime puts the cursor at an instant, kept within the day.
func (b *Playback) JumpTime(t time.Time) {
	if t.Before(b.Begin()) {
		t = b.Begin()
	}
	if t.After(b.End()) {
		t = b.End()
	}
	b.now, b.n = t, b.count(t)
}

// Scrub moves the cursor by so much of the day's time; it may be negative.
func (b *Playback) Scrub(d time.Duration) { b.JumpTime(b.now.Add(d)) }

// StepEvent goes on to the next event, or back to before the last one that has
// happened. Of several events at one instant it takes one at a time.
func (b *Playback) StepEvent(by int) {
	n := min(max(b.n+by, min(1, len(b.events))), len(b.events))
	if n == 0 {
		return
	}
	b.n, b.now = n, b.at[n-1]
}

// JumpCall goes to the next call, or with by below 0 to the one before; false
// when there is none.
func (b *Playback) JumpCall(by int) bool { return b.jumpMark(by, MarkCall) }

// JumpBatch goes to the next batch poured, or the one before.
func (b *Playback) JumpBatch(by int) bool { return b.jumpMark(by, MarkBatch) }

// jumpMark goes to the next mark of a kind in a direction: the first whose
// event has not happened yet, or the last whose event has, but for one at the
// cursor itself.
func (b *Playback) jumpMark(by int, kind MarkKind) bool {
	switch {
	case by > 0:
		for _, m := range b.marks {
			if m.Kind == kind && m.n > b.n {
				b.now, b.n = m.At, m.n
				return true
			}
		}
	case by < 0:
		for _, m := range slices.Backward(b.marks) {
			if m.Kind == kind && (m.n < b.n || m.n == b.n && m.At.Before(b.now)) {
				b.now, b.n = m.At, m.n
				return true
			}
		}
	}
	return false
}

// JumpBatchNo goes to the instant at which a batch was poured; false when it
// never was.
func (b *Playback) JumpBatchNo(no int) bool {
	for _, m := range b.marks {
		if m.Kind == MarkBatch && m.Batch == no {
			b.now, b.n = m.At, m.n
			return true
		}
	}
	return false
}
