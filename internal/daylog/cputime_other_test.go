//go:build !unix

package daylog_test

import "time"

var began = time.Now()

// cpuTime is wall time where processor time is not to be had simply.
func cpuTime() time.Duration { return time.Since(began) }
