package shift

import (
	"context"
	"strings"
	"testing"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
)

// A study that panics is said to have failed; the console and the log go on.
func TestStudyThatFailsIsSaid(t *testing.T) {
	p, floors := example(t)
	clock := &handClock{from: p.Handover, boot: "a"}
	log := NewMemory(clock)
	v := Open(p, floors, log, clock, log.Records(), nil).View()
	o := safely(context.Background(), v.Snapshot, func(context.Context) advice.Outlook { panic("a broken study") })
	if o.OK || o.Day.OK || o.Facts != v.Facts || !strings.Contains(o.Why, "failed: a broken study") || !strings.Contains(o.Day.Why, "failed") {
		t.Errorf("told %+v", o)
	}

	broken := &day.Snapshot{Facts: 7, Floor: floors[0], Blend: floors[0].Blend, EndL: 100} // no plan: nothing can be asked of it
	var f forecaster
	f.init()
	ctx, stop := context.WithTimeout(context.Background(), 20*time.Second)
	defer stop()
	go f.run(ctx)
	f.ask(broken)
	select {
	case o := <-f.out:
		if o.Facts != 7 || !strings.Contains(o.Why, "failed") {
			t.Errorf("told %+v", o)
		}
	case <-ctx.Done():
		t.Fatal("nothing was told")
	}
	f.ask(v.Snapshot) // the next question is answered
	select {
	case o := <-f.out:
		if o.Facts != v.Facts || strings.Contains(o.Why, "failed") {
			t.Errorf("the next answer is %+v", o)
		}
	case <-ctx.Done():
		t.Fatal("the next question was not answered")
	}
}
