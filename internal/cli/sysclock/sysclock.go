// Package sysclock reads the machine's clocks for the day log: wall time, a
// clock that counts sleep, a clock that stands still in sleep, and a mark that
// differs from boot to boot. It is one of the few places with time.Now; all
// other code gets readings as arguments.
//
//	Linux    CLOCK_BOOTTIME / CLOCK_MONOTONIC, /proc/sys/kernel/random/boot_id
//	macOS    CLOCK_MONOTONIC_RAW / CLOCK_UPTIME_RAW, sysctl kern.bootsessionuuid
//	Windows  QueryInterruptTime / QueryUnbiasedInterruptTime, BootId in the registry
//
// Sources: clock_gettime(2), random(4) of the Linux manual pages;
// clock_gettime(3) of macOS; realtimeapiset.h in the Windows documentation
// (all from memory).
//
// Go's own monotonic clock stands still while Linux and macOS sleep, so it
// cannot tell the age of a batch on a laptop whose lid was shut.
package sysclock

import (
	"crypto/rand"
	"time"

	"floorpace/internal/daylog"
)

// Clock is the clock of this machine.
type Clock struct{ boot string }

// New looks up the boot mark. Where the system has none, the mark is drawn for
// this run: ages across a restart of the program are then shown as about.
func New() Clock {
	boot := bootMark()
	if boot == "" {
		boot = "run-" + rand.Text()
	}
	return Clock{boot: boot}
}

// Now reads all clocks.
func (c Clock) Now() daylog.Reading {
	mono, awake := readClocks()
	return daylog.Reading{Wall: time.Now().Round(0), Mono: mono, Awake: awake, Boot: c.boot}
}
