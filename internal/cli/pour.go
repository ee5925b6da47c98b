package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/shift"
	"floorpace/internal/tui"
)

func newPour(env *Env) *cobra.Command {
	var fresh bool
	var logDir, last string
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
			a, ok := answer[last]
			if !ok {
				return fail(ExitUsage, "--last %s: write keep or drop", last)
			}
			if logDir == "" {
				logDir = dayDir(args[0])
			}
			return pour(cmd.Context(), env, p, logDir, fresh, a, &l)
		},
	}
	c.Flags().BoolVar(&fresh, "new", false, "begin a new day, even if one was going on")
	c.Flags().StringVar(&logDir, "log", "", "folder of the day logs")
	l.flags(c, "mix")
	c.Flags().StringVar(&last, "last", "", "what to do with a damaged last tap: keep or drop")
	return c
}

func pour(ctx context.Context, env *Env, p *loaded, logDir string, fresh bool, a daylog.Answer, l *looks) error {
	so, err := l.options(env, tui.Options{})
	if err != nil {
		return err
	}
	o, err := openDay(env, logDir, p.Wire, fresh, a)
	if err != nil {
		return err
	}
	defer o.log.Close()
	day := p
	if o.resumed {
		if day, err = planOf(o.header.Plan); err != nil {
			return err
		}
		if !sameJSON(day.Wire, p.Wire) {
			o.words = append(o.words, "The plan file has changed since this day began. The day goes on with the plan it began with.")
		}
	}
	floors, err := pace.Floors(day.Plan)
	if err != nil {
		return fail(ExitUsage, "%v", err)
	}
	desk := shift.Open(day.Plan, floors, o.log, env.Clock, o.records, o.words)
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
	fmt.Fprintf(env.Out, "The day is safe in %s\nGo on with the same command; look back with: floorpace replay %s\n", o.log.Path(), o.log.Path())
	return nil
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
