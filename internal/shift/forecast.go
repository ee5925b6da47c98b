package shift

import (
	"context"
	"fmt"
	"sync"

	"floorpace/internal/advice"
	"floorpace/internal/day"
)

// Days studied: of the zone now, enough at once to tell 95 from 90 in a hundred;
// then, while nothing else happens, enough to tell 95 from 94, and of the whole day.
const (
	daysAtOnce = 2000
	daysIdle   = 10000
	seed       = 1 // the same luck every time: figures move only when facts do
)

// forecaster studies the newest facts beside the writer. A newer question ends
// an older study.
type forecaster struct {
	once sync.Once
	in   chan *day.Snapshot
	out  chan advice.Outlook
	last advice.Outlook
	seen int

	day advice.Day // the whole day as last studied; run's own
}

func (f *forecaster) init() {
	f.once.Do(func() {
		f.in, f.out, f.seen = make(chan *day.Snapshot, 1), make(chan advice.Outlook), -1
	})
}

// ask hands over a snapshot if its facts are new. Only the writer calls it.
func (f *forecaster) ask(v *day.Snapshot) {
	f.init()
	if v.Facts == f.seen {
		return
	}
	f.seen = v.Facts
	select {
	case <-f.in: // an older question that nobody took
	default:
	}
	f.in <- v
}

// run answers until ctx ends.
func (f *forecaster) run(ctx context.Context) {
	f.init()
	for {
		var v *day.Snapshot
		select {
		case <-ctx.Done():
			return
		case v = <-f.in:
		}
		for v != nil {
			v = f.study(ctx, v)
		}
	}
}

// study answers one question, and gives back a newer one that came meanwhile. A
// study that fails is said to have failed: the day goes on without it.
func (f *forecaster) study(ctx context.Context, v *day.Snapshot) (newer *day.Snapshot) {
	defer func() {
		if r := recover(); r != nil {
			f.tell(ctx, failed(v, r))
		}
	}()
	c, ok := advice.Ask(v)
	if !ok { // nothing is left to lay: what was said before is over
		const why = "nothing is left to lay"
		f.day = advice.Day{Facts: v.Facts, From: v.Now, Why: why}
		f.tell(ctx, advice.Outlook{Facts: v.Facts, From: v.Now, Why: why, Day: f.day})
		return nil
	}
	for _, judge := range []func(context.Context) advice.Outlook{
		func(ctx context.Context) advice.Outlook { return c.Judge(ctx, daysAtOnce, seed) },
		func(ctx context.Context) advice.Outlook { return c.JudgeDay(ctx, daysIdle, seed) },
	} {
		sub, stop := context.WithCancel(ctx)
		done := make(chan advice.Outlook, 1)
		go func() { done <- safely(sub, v, judge) }()
		select {
		case <-ctx.Done():
			stop()
			<-done
			return nil
		case newer = <-f.in:
			stop()
			<-done
			return newer
		case o := <-done:
			stop()
			if o.Day.Days > 0 || o.Day.Why != advice.NotStudied {
				f.day = o.Day
			} else {
				o.Day = f.day // older, and says so itself
			}
			f.tell(ctx, o)
		}
	}
	return nil
}

// safely judges on a goroutine of its own, where a panic would end the program
// with the terminal as it is.
func safely(ctx context.Context, v *day.Snapshot, judge func(context.Context) advice.Outlook) (o advice.Outlook) {
	defer func() {
		if r := recover(); r != nil {
			o = failed(v, r)
		}
	}()
	return judge(ctx)
}

func failed(v *day.Snapshot, why any) advice.Outlook {
	words := fmt.Sprintf("the study failed: %v", why)
	return advice.Outlook{Facts: v.Facts, From: v.Now, Why: words, Day: advice.Day{Facts: v.Facts, From: v.Now, Why: words}}
}

// tell hands an answer to the writer.
func (f *forecaster) tell(ctx context.Context, o advice.Outlook) {
	select {
	case <-ctx.Done():
	case f.out <- o:
	}
}
