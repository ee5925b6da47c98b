package cli

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"github.com/mattn/go-isatty"

	"floorpace/internal/cli/sysclock"
	"floorpace/internal/daylog"
)

// System is the real machine.
func System(args []string) *Env {
	clock := systemClock(os.Getenv(fastEnv))
	rate, hands := 0.0, daylog.Clock(nil)
	if q, quick := clock.(*quickClock); quick {
		rate, hands = q.rate, q.real
	}
	return &Env{
		Rate: rate, Hands: hands, Args: args, In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Getenv: os.Getenv, Clock: clock,
		Terminal: isatty.IsTerminal(os.Stdin.Fd()) && isatty.IsTerminal(os.Stdout.Fd()),
		Home:     filepath.Join(xdg.StateHome, "floorpace"),
	}
}

// fastEnv makes the clock of the machine run fast, for tests that drive the
// real program through minutes of a pour: "RATE,WALL,MS", how many times
// faster, the wall time (RFC 3339) to start from, and the reading of the
// machine's sleep-counting clock in milliseconds that this belongs to. With the
// same text a second start goes on on the same line.
const fastEnv = "FLOORPACE_TEST_CLOCK"

func systemClock(fast string) daylog.Clock {
	real := sysclock.New()
	f := strings.Split(fast, ",")
	if len(f) != 3 {
		return real
	}
	rate, err1 := strconv.ParseFloat(f[0], 64)
	wall, err2 := time.Parse(time.RFC3339, f[1])
	ms, err3 := strconv.ParseInt(f[2], 10, 64)
	if err1 != nil || err2 != nil || err3 != nil || rate <= 0 {
		return real
	}
	return &quickClock{real, rate, wall, time.Duration(ms) * time.Millisecond}
}

type quickClock struct {
	real daylog.Clock
	rate float64
	wall time.Time
	from time.Duration
}

func (c *quickClock) Now() daylog.Reading {
	r := c.real.Now()
	gone := time.Duration(float64(r.Mono-c.from) * c.rate)
	return daylog.Reading{Wall: c.wall.Add(gone), Mono: gone, Awake: gone, Boot: r.Boot}
}
