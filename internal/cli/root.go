// Package cli is the thin edge: one file a command. It is the only place, with
// cmd/floorpace, that looks at the clock, prints and ends the process.
package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
)

// Exit codes. They are part of what scripts rely on.
const (
	ExitOK     = 0
	ExitNo     = 1 // no-go; a mended log
	ExitUsage  = 2 // bad input: nothing was written
	ExitDamage = 3 // a damaged log
	ExitFailed = 4 // the machine failed: disk, terminal
)

// exit carries an exit code and, where there is more to say, an error.
type exit struct {
	code int
	err  error
}

func (e *exit) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}

func (e *exit) Unwrap() error { return e.err }

// fail makes an error that ends with a code.
func fail(code int, format string, args ...any) error {
	return &exit{code, fmt.Errorf(format, args...)}
}

// caution stands at the end of every help page and on every paper.
const caution = `A reminder, not advice. The data sheet, the site's rules, local codes and
licensed practice come first: isocyanates, silica dust, lifting, wet floors,
working alone at night.`

// Run runs one command and gives its exit code.
func Run(ctx context.Context, env *Env) int {
	root := newRoot(env)
	root.SetArgs(env.Args)
	root.SetIn(env.In)
	root.SetOut(env.Out)
	root.SetErr(env.Err)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return ExitOK
	}
	var e *exit
	if !errors.As(err, &e) {
		e = &exit{ExitUsage, err}
	}
	if words := e.Error(); words != "" {
		for _, line := range strings.Split(words, "\n") {
			fmt.Fprintln(env.Err, clean.String(line))
		}
	}
	return e.code
}

func newRoot(env *Env) *cobra.Command {
	root := &cobra.Command{
		Use:   "floorpace",
		Short: "Pace the pour day of a fast-setting floor",
		Long: `floorpace paces the pour day of fast-setting self-levelling floors: it checks
a pour plan, times every batch from mix start to the floor, says what pace keeps
the wet edge, and keeps a log that becomes the record.

` + caution,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.AddCommand(newCheck(env), newForecast(env), newPour(env), newWatch(env), newReplay(env), newDemo(env), newVerify(env), newSalvage(env), newRecord(env), newLearn(env), newCompare(env))
	return root
}
