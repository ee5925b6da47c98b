package playback

import (
	"time"

	"golang.org/x/sys/unix"
)

// cpuTime is the processor time of this thread, which the caller has locked:
// what else the machine does is not counted.
func cpuTime() (time.Duration, bool) {
	var u unix.Timespec
	if unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &u) != nil {
		return 0, false
	}
	return time.Duration(u.Nano()), true
}
