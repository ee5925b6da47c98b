package cli

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"floorpace/internal/daylog"
	"floorpace/internal/units"
)

func newVerify(env *Env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "verify LOG...",
		Short: "Say whether day logs are sound, and what can be saved",
		Long: `verify reads day logs and says in plain words what they hold, what is damaged
and what can be saved. It changes nothing.

Exit 0 sound, 1 an unfinished end was or will be cut (nothing confirmed is
missing), 3 damage.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			r, err := daylog.Verify(daylog.OS(), allLogs(args)...)
			p := &page{w: env.Out}
			if asJSON {
				p.err = printJSON(env.Out, r)
			} else {
				for _, f := range r.Files {
					p.say("%s: %s, %s", f.Path, f.Verdict, units.Count(f.Events, "event", "events"))
					for _, w := range f.Words {
						p.say("  %s", w)
					}
				}
				for _, w := range r.Words {
					p.say("%s", w)
				}
			}
			switch {
			case errors.Is(err, daylog.ErrForeign), errors.Is(err, fs.ErrNotExist):
				return &exit{ExitUsage, err}
			case err != nil:
				return &exit{ExitDamage, err}
			case p.err != nil:
				return &exit{ExitFailed, p.err}
			case r.Code != 0:
				return &exit{code: r.Code}
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words")
	return c
}

func newSalvage(env *Env) *cobra.Command {
	return &cobra.Command{
		Use:   "salvage OUT LOG...",
		Short: "Write a sound log from one or more damaged copies",
		Long: `salvage writes a new, sound log to OUT from everything that can be read in the
copies given. The copies are never touched, and OUT must not be there yet.

Exit 0 all is there, 3 saved, but events are known to be lost or a seal does not
fit.`,
		Args: cobra.MinimumNArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			opt := daylog.Options{Install: install(env.Home), App: "floorpace " + Version}
			r, err := daylog.Salvage(daylog.OS(), env.Clock, opt, args[0], allLogs(args[1:])...)
			if errors.Is(err, daylog.ErrNotSaved) {
				return &exit{ExitFailed, err}
			}
			if err != nil {
				return &exit{ExitUsage, err}
			}
			p := &page{w: env.Out}
			p.say("%s: %s saved", r.Path, units.Count(r.Events, "event", "events"))
			for _, w := range r.Words {
				p.say("  %s", w)
			}
			switch {
			case p.err != nil:
				return &exit{ExitFailed, p.err}
			case r.Missing > 0, r.Seals > 0:
				return &exit{code: ExitDamage}
			}
			return nil
		},
	}
}

// noHelpers leaves out what the console itself keeps beside a log, lock and ballast,
// which a name with a star takes along; alone they stay, to be told what they are.
func noHelpers(args []string) []string {
	out := slices.DeleteFunc(slices.Clone(args), func(a string) bool {
		ext := filepath.Ext(a)
		return ext == ".lock" || ext == ".ballast"
	})
	if len(out) == 0 {
		return args
	}
	return out
}

// allLogs puts the log files of a folder in the place of the folder.
func allLogs(args []string) []string {
	var out []string
	for _, a := range noHelpers(args) {
		if files := logFiles(a); a != "" && len(files) > 0 {
			out = append(out, files...)
			continue
		}
		out = append(out, a)
	}
	return out
}
