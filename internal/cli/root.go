// Package cli is the thin edge: one file a command. It is the only place, with
// cmd/floorpace, that looks at the clock, prints and ends the process.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

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
	out := &printed{w: env.Out}
	own := *env
	own.Out = out
	env = &own
	root := newRoot(env)
	root.SetArgs(env.Args)
	root.SetIn(env.In)
	root.SetOut(env.Out)
	root.SetErr(env.Err)
	err := root.ExecuteContext(ctx)
	var e *exit
	switch {
	case out.err != nil: // whatever was found, nobody could read it
		e = &exit{ExitFailed, fmt.Errorf("the words could not be written: %v", out.err)}
		err = e
	case err == nil:
		return ExitOK
	}
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

// printed passes on what a command prints, cleaned whatever it came from, and
// remembers that it failed, so that no command ends well, or with another code,
// on a full disk.
type printed struct {
	w   io.Writer
	err error
}

func (p *printed) Write(b []byte) (int, error) {
	_, err := io.WriteString(p.w, cleanLines(string(b)))
	if err != nil {
		if p.err == nil {
			p.err = err
		}
		return 0, err
	}
	return len(b), nil
}

// cleanLines cleans a text line by line; tabs stay, for scripts that a shell reads.
func cleanLines(s string) string {
	var out strings.Builder
	for s != "" {
		i := strings.IndexAny(s, "\n\t")
		if i < 0 {
			out.WriteString(clean.String(s))
			break
		}
		out.WriteString(clean.String(s[:i]))
		out.WriteByte(s[i])
		s = s[i+1:]
	}
	return out.String()
}

// printJSON prints v as data. What a terminal might act upon stands escaped, so
// that nothing is lost to whoever reads the data.
func printJSON(w io.Writer, v any) error {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	var out strings.Builder
	for _, r := range string(b) {
		if r < 0x80 && r != 0x7f || clean.String("a"+string(r)) == "a"+string(r) {
			out.WriteRune(r)
			continue
		}
		for _, u := range utf16.AppendRune(nil, r) {
			fmt.Fprintf(&out, `\u%04x`, u)
		}
	}
	_, err = fmt.Fprintln(w, out.String())
	return err
}

// ownWords puts the library's words about arguments and flags into ours: what is
// wanted, how often, and what to write.
func ownWords(root *cobra.Command) {
	for _, c := range root.Commands() {
		count := c.Args
		c.Args = func(c *cobra.Command, args []string) error {
			if count == nil || count(c, args) == nil {
				return nil
			}
			got := "nothing was given"
			if len(args) > 0 {
				got = fmt.Sprintf("%d given", len(args))
			}
			return fail(ExitUsage, "%s: the arguments do not fit, %s: write floorpace %s; more with floorpace %s --help", c.Name(), got, c.Use, c.Name())
		}
		c.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
			var bad *pflag.InvalidValueError
			if errors.As(err, &bad) {
				f := bad.GetFlag()
				return fail(ExitUsage, "--%s %s: write %s", f.Name, bad.GetValue(), wanted(f.Value.Type()))
			}
			return fail(ExitUsage, "%v; the flags are listed by floorpace %s --help", err, c.Name())
		})
	}
}

// wanted words a kind of flag.
func wanted(kind string) string {
	switch kind {
	case "uint64":
		return "a whole number, zero or more"
	case "int":
		return "a whole number"
	case "float64":
		return "a number such as 60"
	case "bool":
		return "true or false, or the flag alone"
	}
	return "a word"
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
	ownWords(root)
	return root
}
