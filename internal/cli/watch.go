package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
)

func newWatch(env *Env) *cobra.Command {
	var l looks
	c := &cobra.Command{
		Use:   "watch LOG",
		Short: "Follow a day that another console on this machine is writing",
		Long: `watch shows the Edge screen of a day that another console is writing on this
machine, within a second of each event. It changes nothing. LOG is the log file
or the folder of the day.

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !env.Terminal {
				return fail(ExitUsage, "watch needs a terminal: start it in a terminal window")
			}
			w, err := newFollower(env, args[0])
			if err != nil {
				return err
			}
			o, err := l.options(env, tui.Options{Source: w, Title: "watching", ReadOnly: "watching only: press at the console that pours"})
			if err != nil {
				return err
			}
			return runScreens(cmd.Context(), env, o, w.run)
		},
	}
	l.flags(c, "edge")
	return c
}

// watchBeat is how often the log is looked at: an event shows well within a
// second of its press.
const watchBeat = 400 * time.Millisecond

// follower reads a growing log and folds it; it is a source of views that
// nobody can press.
type follower struct {
	env     *Env
	day     *daylog.DayFollower
	path    string
	plan    *loaded
	floors  []*pace.Zone
	watched *shift.Watched
	latest  atomic.Pointer[shift.View]
	changed chan struct{}
}

func newFollower(env *Env, arg string) (*follower, error) {
	path, err := logPath(arg)
	if err != nil {
		return nil, err
	}
	f := &follower{env: env, path: path, changed: make(chan struct{}, 1), day: followDay(env, path)}
	records, header, err := readDay(f.day, path)
	if err != nil {
		return nil, err
	}
	if err := f.take(planInForce(header.Plan, records)); err != nil {
		return nil, err
	}
	f.poll()
	return f, nil
}

// take goes by a plan from now on.
func (f *follower) take(wire json.RawMessage) error {
	if f.plan != nil && bytes.Equal(wire, f.plan.Wire) {
		return nil
	}
	p, err := planOf(wire)
	if err != nil {
		return err
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		return fail(ExitUsage, "%v", err)
	}
	f.plan, f.floors = p, floors
	return nil
}

// poll reads what is new and publishes the picture of now. A log that cannot
// be read for a moment shows the last picture, with the reason.
func (f *follower) poll() {
	grew, err := f.day.Poll()
	if grew || f.watched == nil {
		records, header, _ := dayOf(f.day.Set())
		err = errors.Join(err, f.take(planInForce(header.Plan, records))) // the console may have taken a changed plan
		f.watched = shift.Watch(f.plan.Plan, f.floors, records, f.env.Clock.Now())
	}
	v := f.watched.View(f.env.Clock.Now())
	if err != nil {
		v.Banner = []string{clean.String("the log cannot be read now: " + err.Error())}
	}
	v.LogPath = f.path
	f.latest.Store(v)
	select {
	case f.changed <- struct{}{}:
	default:
	}
}

func (f *follower) run(ctx context.Context) {
	beat := time.NewTicker(watchBeat)
	defer beat.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-beat.C:
			f.poll()
		}
	}
}

// Latest is the newest view.
func (f *follower) Latest() *shift.View { return f.latest.Load() }

// Changed receives after a new view.
func (f *follower) Changed() <-chan struct{} { return f.changed }

// Press is never taken: a watcher only looks.
func (f *follower) Press(day.Press, time.Time) bool { return false }

// Quiet is never taken.
func (f *follower) Quiet(time.Time) bool { return false }

// Waiting is always nothing.
func (f *follower) Waiting() (int, time.Time) { return 0, time.Time{} }
