package sysclock

import (
	"os"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

func readClocks() (mono, awake time.Duration) {
	return gettime(unix.CLOCK_BOOTTIME), gettime(unix.CLOCK_MONOTONIC)
}

func gettime(id int32) time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(id, &ts); err != nil {
		return 0 // both clocks exist since Linux 2.6.39
	}
	return time.Duration(ts.Nano())
}

func bootMark() string {
	b, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(b))
}
