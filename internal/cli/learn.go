package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"

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

At the end it prints the [crew] table of a plan file as learned; --out writes it
to a file. Plans do not read crew files by themselves: paste it in.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			days, err := readAll(env, args, nil)
			if err != nil {
				return err
			}
			var seen []record.Seen
			for _, d := range days {
				seen = append(seen, record.Seen{Name: d.path, Plan: d.plan, Floors: d.floors, Events: d.events})
			}
			l, err := record.Learn(seen)
			if err != nil {
				return fail(ExitUsage, "%v", err)
			}
			return printLesson(env, l, out, asJSON)
		},
	}
	c.Flags().StringVar(&out, "out", "", "write the crew table to this file, which must not be there yet")
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words (SI units)")
	return c
}

func printLesson(env *Env, l *record.Lesson, out string, asJSON bool) error {
	var crew bytes.Buffer
	if err := l.WriteCrew(&crew); err != nil {
		return fail(ExitFailed, "%v", err)
	}
	if out != "" {
		f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) {
			return fail(ExitUsage, "--out %s: it is there already; choose another name", out)
		}
		if err != nil {
			return fail(ExitFailed, "%v", err)
		}
		_, err = f.Write(crew.Bytes())
		if cerr := f.Close(); err == nil {
			err = cerr
		}
		if err != nil {
			return fail(ExitFailed, "%s: %v", out, err)
		}
	}
	if asJSON {
		e := json.NewEncoder(env.Out)
		e.SetIndent("", "  ")
		if err := e.Encode(l); err != nil {
			return fail(ExitFailed, "%v", err)
		}
		return nil
	}
	p := &page{w: env.Out}
	p.err = l.Write(env.Out)
	if out != "" {
		p.say("\ncrew table written to %s; put it in the place of [crew] in the plan", out)
	} else {
		p.say("\n%s", crew.String())
	}
	if p.err != nil {
		return &exit{ExitFailed, p.err}
	}
	return nil
}
