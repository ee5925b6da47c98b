//go:build unix

package cli

import (
	"os"
	"syscall"
)

// endSignals end the console with the terminal put back: hang-up (a closed
// window or line), quit, terminate.
func endSignals() []os.Signal {
	return []os.Signal{syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGTERM}
}
