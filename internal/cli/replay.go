package cli

import (
	"github.com/spf13/cobra"

	"floorpace/internal/pace"
	"floorpace/internal/playback"
	"floorpace/internal/shift"
)

func newReplay(env *Env) *cobra.Command {
	var l looks
	c := &cobra.Command{
		Use:   "replay LOG",
		Short: "Look back at a day on the screens of the day",
		Long: `replay drives the screens of the day from a log: a time line, play and pause,
speeds up to 600 times life, step by event, jump to the next call, and what-if
from the instant shown. It changes nothing. LOG is the log file or the folder of
the day; all files of the day are put together. Without a terminal it prints the day's summary.

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			days, err := gatherDays(env, args, nil)
			if err != nil {
				return err
			}
			if len(days) > 1 {
				return fail(ExitUsage, "%s: %d days lie in this folder: name the log of one of them", args[0], len(days))
			}
			path := days[0].path
			records, header, ok := dayOf(days[0].Set)
			if !ok {
				return fail(ExitDamage, "%s: its first line, which carries the plan, cannot be read: look for the second copy", path)
			}
			p, err := planOf(planInForce(header.Plan, records))
			if err != nil {
				return err
			}
			floors, err := pace.Floors(p.Plan)
			if err != nil {
				return fail(ExitUsage, "%v", err)
			}
			log, err := days[0].facts(header.Day)
			if err != nil {
				return err
			}
			note := log.Damage()
			if note != "" {
				note = "LOG DAMAGED: " + note + "; see floorpace verify"
			}
			b := playback.New(p.Plan, floors, shift.Events(records))
			if !env.Terminal {
				b.JumpTime(b.End())
				return printDay(env.Out, b.State(), b.Snapshot(), note, path)
			}
			return replayLive(cmd.Context(), env, b, path, note, &l)
		},
	}
	l.flags(c, "edge")
	return c
}
