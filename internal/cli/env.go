package cli

import (
	"io"
	"os"
	"time"

	"floorpace/internal/daylog"
)

// Env is what a command needs of the outside: streams, clock, terminal. Tests
// make their own.
type Env struct {
	Args     []string
	In       io.Reader
	Out, Err io.Writer
	Getenv   func(string) string
	Clock    daylog.Clock
	// Terminal reports whether both ends are a terminal, for the live screens.
	Terminal bool
	// Hands is the machine's own clock, for key presses and screens; nil: Clock.
	Hands daylog.Clock
	// Rate is how fast Clock runs against Hands; 0 means 1. A clock with a rate
	// is made by hand and may jump.
	Rate float64
	// Home is where day logs go when the plan's own folder cannot be written.
	Home string
}

// wall is the wall clock now.
func (e *Env) wall() time.Time { return e.Clock.Now().Wall }

// noColour reports whether the environment asks for no colour (NO_COLOR, any
// value that is not empty: the open convention of that name).
func (e *Env) noColour() bool { return e.Getenv("NO_COLOR") != "" }

// file reads a whole file and closes it at once.
func file(name string) ([]byte, error) { return os.ReadFile(name) }
