//go:build unix

package daylog_test

import (
	"syscall"
	"time"
)

// cpuTime is the processor time this program has used, all threads together.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
