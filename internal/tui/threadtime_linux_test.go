package tui

import (
	"syscall"
	"time"
)

// threadTime is the processor time that this thread has used.
func threadTime() time.Duration {
	const thread = 1 // RUSAGE_THREAD of getrusage(2), which the package does not name
	var u syscall.Rusage
	if syscall.Getrusage(thread, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
