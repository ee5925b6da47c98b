package sysclock

import (
	"time"

	"golang.org/x/sys/unix"
)

func readClocks() (mono, awake time.Duration) {
	return gettime(unix.CLOCK_MONOTONIC_RAW), gettime(unix.CLOCK_UPTIME_RAW)
}

func gettime(id int32) time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(id, &ts); err != nil {
		return 0 // both clocks exist since macOS 10.12
	}
	return time.Duration(ts.Nano())
}

func bootMark() string {
	id, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return id
}
