package cli

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"

	"floorpace/internal/tui"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
)

// looks are the flags every live screen has.
type looks struct {
	screen, keys, palette string
	ascii                 bool
}

func (l *looks) flags(c *cobra.Command, screen string) {
	c.Flags().StringVar(&l.screen, "screen", screen, "screen to begin with: mix or edge")
	c.Flags().StringVar(&l.palette, "palette", "dark", "colours to begin with: dark (dark plant) or sun (bright sun)")
	c.Flags().BoolVar(&l.ascii, "ascii", false, "draw with plain ASCII signs only")
	c.Flags().StringVar(&l.keys, "keys", "", "file with keys of your own")
}

// profile is what the terminal can show, by its own word (TERM, COLORTERM) and
// the crew's (NO_COLOR).
func profile(env *Env) look.Profile {
	term, colour := env.Getenv("TERM"), env.Getenv("COLORTERM")
	switch {
	case env.noColour() || term == "dumb":
		return look.NoColor
	case colour == "truecolor" || colour == "24bit" || env.Getenv("WT_SESSION") != "":
		return look.TrueColor
	case strings.HasSuffix(term, "256color"):
		return look.Colors256
	}
	return look.Colors16
}

// glyphs is ASCII when asked for, and on a terminal whose own settings say that
// it shows no more (a locale that is not UTF-8, the console of the kernel).
func glyphs(env *Env, ascii bool) look.GlyphSet {
	if ascii || env.Getenv("TERM") == "linux" {
		return look.ASCII
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := env.Getenv(name); v != "" {
			if u := strings.ToUpper(v); !strings.Contains(u, "UTF-8") && !strings.Contains(u, "UTF8") {
				return look.ASCII
			}
			return look.Unicode
		}
	}
	return look.Unicode
}

// options fills in what all live screens share.
func (l *looks) options(env *Env, o tui.Options) (tui.Options, error) {
	o.Now, o.Profile, o.Glyphs = env.Clock.Now, profile(env), glyphs(env, l.ascii)
	if env.Hands != nil {
		o.Now, o.Rate = env.Hands.Now, func() float64 { return env.Rate }
	}
	switch strings.ToLower(l.screen) {
	case "mix", "edge":
		o.Screen = l.screen
	default:
		return o, fail(ExitUsage, "--screen %s: write mix or edge", l.screen)
	}
	switch l.palette {
	case "dark", "":
	case "sun":
		o.Sun = true
	default:
		return o, fail(ExitUsage, "--palette %s: write dark or sun", l.palette)
	}
	if l.keys != "" {
		f, err := file(l.keys)
		if err != nil {
			return o, fail(ExitUsage, "%v", err)
		}
		m, err := keys.Parse(l.keys, f)
		if err != nil {
			return o, fail(ExitUsage, "%v", err)
		}
		o.Keys = m
	}
	return o, nil
}

// runScreens runs the console until the user leaves. work is run beside it and
// ended with it; if it fails, the console ends and the terminal is put back.
func runScreens(ctx context.Context, env *Env, o tui.Options, work func(context.Context)) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ctx, unsign := signal.NotifyContext(ctx, endSignals()...)
	defer unsign()
	worked := make(chan error, 1)
	go func() {
		defer stop() // what it fed is over: the console leaves
		defer func() {
			if r := recover(); r != nil {
				worked <- fmt.Errorf("the console failed and was stopped: %v", r)
				return
			}
			worked <- nil
		}()
		work(ctx)
	}()
	err := tui.Run(ctx, tui.New(o), os.Stdin, os.Stdout)
	stop()
	if werr := <-worked; werr != nil {
		return fail(ExitFailed, "%v", werr)
	}
	if err != nil {
		return fail(ExitFailed, "%v", err)
	}
	return nil
}
