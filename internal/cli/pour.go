package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
	"floorpace/internal/units"
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
			if err != nil && (!env.Terminal || po.fresh || po.newPlan) {
				return err
			}
			po.planErr = err
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
			if po.second != "" {
				if po.notes, err = secondFolder(&po); err != nil {
					return err
				}
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
	planErr        error          // why the plan file gives no plan now
	notes          []string       // of the flags, for the banner
	zone           *time.Location // of the plan
}

func pour(ctx context.Context, env *Env, p *loaded, po pourOptions, l *looks) error {
	so, err := l.options(env, tui.Options{})
	if err != nil {
		return err
	}
	var wire json.RawMessage
	if p != nil {
		po.zone, wire = p.Plan.Handover.Location(), p.Wire
	}
	o, err := openDay(env, wire, po)
	if errors.Is(err, errNoDay) {
		return po.planErr
	}
	if err != nil {
		return err
	}
	defer o.log.Close()
	o.words = append(o.words, po.notes...)
	in, err := planForDay(o, p, po)
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

// secondFolder looks at the folder of the second copy: among the day logs it would
// be taken for one, and on their disk it is lost with them.
func secondFolder(po *pourOptions) (words []string, err error) {
	days, err := filepath.Abs(po.logDir)
	if err == nil {
		po.second, err = filepath.Abs(po.second)
	}
	if err != nil {
		return nil, fail(ExitFailed, "%v", err)
	}
	if rel, err := filepath.Rel(days, po.second); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return nil, fail(ExitUsage, "--second %s: this lies among the day logs themselves: give a folder on another disk", po.second)
	}
	if sameDisk(days, po.second) {
		words = append(words, clean.String(fmt.Sprintf("The second copy (%s) lies on the same disk as the log: it is lost with it. Is the stick mounted?", po.second)))
	}
	return words, nil
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
	return fmt.Sprintf("Sealed: %s, %s", units.Count(int(mark.Count), "event", "events"), mark.Short)
}
