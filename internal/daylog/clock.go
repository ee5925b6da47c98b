package daylog

import "time"

// Reading is one look at the clocks, all taken together.
type Reading struct {
	Wall  time.Time     // wall clock, with zone: for display, order and paper
	Mono  time.Duration // since boot, counts sleep: for ages
	Awake time.Duration // since boot, stands still in sleep: tells sleep from a stall
	Boot  string        // differs from boot to boot; "" when the system cannot say
}

// Clock gives readings; the real one is outside this package.
type Clock interface{ Now() Reading }
