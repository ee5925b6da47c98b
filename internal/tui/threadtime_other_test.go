//go:build !linux

package tui

import "time"

// threadTime has no figure here.
func threadTime() time.Duration { return 0 }
