//go:build unix

package cli

import (
	"os"
	"syscall"
)

// endSignals end the console with the terminal put back: hang-up (a closed
// window or line), quit, terminate, interrupt. The TUI library's own handler is
// off: on a terminate that comes while it ends it waits for ever.
func endSignals() []os.Signal {
	return []os.Signal{syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGTERM, os.Interrupt}
}
