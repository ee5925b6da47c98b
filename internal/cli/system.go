package cli

import (
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/mattn/go-isatty"

	"floorpace/internal/cli/sysclock"
)

// System is the real machine.
func System(args []string) *Env {
	return &Env{
		Args: args, In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Getenv: os.Getenv, Clock: sysclock.New(),
		Terminal: isatty.IsTerminal(os.Stdin.Fd()) && isatty.IsTerminal(os.Stdout.Fd()),
		Home:     filepath.Join(xdg.StateHome, "floorpace"),
	}
}
