package cli

import (
	"os"
	"syscall"
)

// endSignals end the console with the terminal put back. Windows sends
// terminate for a closed window.
func endSignals() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM} }
