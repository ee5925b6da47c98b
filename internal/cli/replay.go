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
the day. Without a terminal it prints the day's summary.

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			path, err := logPath(args[0])
			if err != nil {
				return err
			}
			records, header, err := readDay(path)
			if err != nil {
				return err
			}
			p, err := planOf(planInForce(header.Plan, records))
			if err != nil {
				return err
			}
			floors, err := pace.Floors(p.Plan)
			if err != nil {
				return fail(ExitUsage, "%v", err)
			}
			b := playback.New(p.Plan, floors, shift.Events(records))
			if !env.Terminal {
				b.JumpTime(b.End())
				return printDay(env.Out, b.State(), b.Snapshot(), "", path)
			}
			return replayLive(cmd.Context(), env, b, path, &l)
		},
	}
	l.flags(c, "edge")
	return c
}
