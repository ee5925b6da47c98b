//go:build !linux

package playback

import "time"

// cpuTime is not known here.
func cpuTime() (time.Duration, bool) { return 0, false }
