package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
)

func newPour(env *Env) *cobra.Command {
	var po pourOptions
	var last string
	var l looks
	c := &cobra.Command{
		Use:   "pour PLAN",
		Short: "Run the live console of a pour day",
		Long: `pour is the live console: the Mix screen for the mix station and the Edge
screen for the supervisor, Tab between them. Every press is on disk before it
is shown as saved. Started again after a stop it goes on where the day was.

The day log lies in a folder beside the plan (NAME.days), or in --log DIR.

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := loadPlan(args[0])
			if err != nil {
				return err
			}
			if !env.Terminal {
				return fail(ExitUsage, "pour needs a terminal: start it in a terminal window, or try: floorpace demo")
			}
			answer := map[string]daylog.Answer{"": daylog.Ask, "keep": daylog.Keep, "drop": daylog.Drop}
			var ok bool
			if po.suspect, ok = answer[last]; !ok {
				return fail(ExitUsage, "--last %s: write keep or drop", last)
			}
			if po.logDir == "" {
				po.logDir = dayDir(args[0])
			}
			return pour(cmd.Context(), env, p, po, &l)
		},
	}
	c.Flags().BoolVar(&po.fresh, "new", false, "begin a new day, even if one was going on")
	c.Flags().BoolVar(&po.newPlan, "new-plan", false, "go on with the plan file as it is now, not as the day began")
	c.Flags().StringVar(&po.logDir, "log", "", "folder of the day logs")
	c.Flags().StringVar(&po.second, "second", "", "folder on another disk for a second copy of the log")
	l.flags(c, "mix")
	c.Flags().StringVar(&last, "last", "", "what to do with a damaged last tap: keep or drop")
	return c
}

// pourOptions are the flags of a pour.
type pourOptions struct {
	fresh, newPlan bool
	logDir, second string
	suspect        daylog.Answer
	zone           *time.Location // of the plan
}

// planForDay is the plan that a day goes on with: the one it was going by, and
// a word when the file has changed since; or the file's when the crew says so.
func planForDay(o *opened, p *loaded, newPlan bool) (*loaded, error) {
	if !o.resumed {
		return p, nil
	}
	wire := planInForce(o.header.Plan, o.records)
	old, err := planOf(wire)
	if err != nil || sameJSON(wire, p.Wire) {
		return old, err
	}
	if !newPlan {
		o.words = append(o.words, "The plan, its sheet or its crew file has changed since this day began. The day goes on with the plan it began with; --new-plan takes the new one.")
		return old, nil
	}
	if err := fitsDay(old.Plan, p.Plan, begunZones(o.records)); err != nil {
		return nil, fail(ExitUsage, "the changed plan cannot take over this day: %v", err)
	}
	written, err := changePlan(o.log, p.Wire)
	if err != nil {
		return nil, err
	}
	o.records = append(o.records, written...)
	o.words = append(o.words, "The day goes on with the changed plan. The change is on record.")
	return p, nil
}

func pour(ctx context.Context, env *Env, p *loaded, po pourOptions, l *looks) error {
	so, err := l.options(env, tui.Options{})
	if err != nil {
		return err
	}
	po.zone = p.Plan.Handover.Location()
	o, err := openDay(env, p.Wire, po)
	if err != nil {
		return err
	}
	defer o.log.Close()
	in, err := planForDay(o, p, po.newPlan)
	if err != nil {
		return err
	}
	floors, err := pace.Floors(in.Plan)
	if err != nil {
		return fail(ExitUsage, "%v", err)
	}
	desk := shift.Open(in.Plan, floors, o.log, env.Clock, o.records, o.words)
	if env.Rate > 0 {
		desk.Steady()
	}
	sh := shift.Start(desk)
	so.Source = sh
	ticks := time.NewTicker(time.Second)
	defer ticks.Stop()
	if err := runScreens(ctx, env, so, func(c context.Context) { sh.Run(c, ticks.C) }); err != nil {
		return err
	}
	if words := seal(o.log, sh.Latest().Snapshot); words != "" {
		fmt.Fprintln(env.Out, words)
	}
	fmt.Fprintf(env.Out, "The day is safe in %s\nGo on with the same command; look back with: floorpace replay %s\n", o.log.Path(), o.log.Path())
	return nil
}

// seal closes the log of a day whose zones are all closed, and says its seal.
func seal(log *daylog.Log, v *day.Snapshot) string {
	for _, z := range v.Zones {
		if z.Closed.IsZero() {
			return ""
		}
	}
	mark, _, err := log.Seal()
	if err != nil {
		return clean.String(fmt.Sprintf("The log could not be sealed: %v", err))
	}
	return fmt.Sprintf("Sealed: %d events, %s", mark.Count, mark.Short)
}

// sameJSON compares two JSON texts by what they hold.
func sameJSON(a, b json.RawMessage) bool {
	norm := func(m json.RawMessage) string {
		var v any
		if json.Unmarshal(m, &v) != nil {
			return string(m)
		}
		out, err := json.Marshal(v)
		if err != nil {
			return string(m)
		}
		return string(out)
	}
	return norm(a) == norm(b)
}
