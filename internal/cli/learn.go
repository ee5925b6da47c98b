package cli

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"floorpace/internal/record"
)

func newLearn(env *Env) *cobra.Command {
	var out string
	var asJSON bool
	c := &cobra.Command{
		Use:   "learn LOG...",
		Short: "Learn the crew's own times from days poured",
		Long: `learn fits the times of each step, the walking speed, the rates of rake and
roller, the real loss and the drift from one or more day logs, and prints them
beside the plan's with their 95 % intervals. Steps are by mixer and by post, not
by person. Times that stand far from all the rest are left out and named; what
was seen too rarely is not learned.

--out writes what was learned as a crew file, which a plan takes in beside its
sheet: crew_file = "crew.toml". Times across a hold, a post out of service, a
sleep of the computer, an undo or missing lines are not the crew's own and are
left out. Days of different materials are learned from one by one.

Exit 0 done, 2 nothing could be learned and nothing was written.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			days, err := readAll(env, args, nil)
			if err != nil {
				return err
			}
			var seen []record.Seen
			for _, d := range days {
				seen = append(seen, record.Seen{Name: d.path, Plan: d.plan, Floors: d.floors, Events: d.events, Invented: d.invented, Missing: d.log.Missing})
			}
			l, err := record.Learn(seen)
			if err != nil {
				return fail(ExitUsage, "%v", err)
			}
			return printLesson(env, l, out, asJSON)
		},
	}
	c.Flags().StringVar(&out, "out", "", "write a crew file with this name, which must not be there yet")
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words (SI units)")
	return c
}

func printLesson(env *Env, l *record.Lesson, out string, asJSON bool) error {
	p := &page{w: env.Out}
	if asJSON {
		p.err = printJSON(env.Out, l)
	} else {
		p.err = l.Write(env.Out)
	}
	if p.err != nil {
		return &exit{ExitFailed, p.err}
	}
	var crew bytes.Buffer
	if err := l.WriteCrew(&crew); err != nil {
		if out != "" || len(l.Fits) == 0 {
			return fail(ExitUsage, "%v: no crew file was written", err)
		}
		return nil
	}
	if out == "" {
		if !asJSON {
			p.say("\nfloorpace learn --out crew.toml writes a crew file that a plan can take in.")
		}
		return p.end()
	}
	if err := writeNew(out, crew.Bytes()); err != nil {
		return err
	}
	if !asJSON {
		p.say("\nCrew file written: %s", out)
		p.say("In a plan beside it write, next to its sheet:  crew_file = %q", filepath.Base(out))
		p.say("and take out of the plan what the file is to say:\n  %s", strings.Join(l.Taken(), ", "))
	}
	return p.end()
}

// end is the error of a page that was to be its command's last word.
func (p *page) end() error {
	if p.err != nil {
		return &exit{ExitFailed, p.err}
	}
	return nil
}

// writeNew writes a file that must not be there yet.
func writeNew(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fail(ExitUsage, "--out %s: it is there already and was not touched; choose another name", path)
	case errors.Is(err, fs.ErrNotExist):
		return fail(ExitUsage, "--out %s: there is no such folder", path)
	case err != nil:
		return fail(ExitFailed, "%v", err)
	}
	_, err = f.Write(data)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return fail(ExitFailed, "%s: %v", path, err)
	}
	return nil
}
