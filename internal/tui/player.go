package tui

import (
	"context"
	"time"

	"floorpace/internal/tui/replay"
)

// Player is a finished day that plays: the source of the views, the strip with
// the time line, and how fast the day's clock runs.
type Player interface {
	Source
	Strip
	Rate() float64
	// Run plays until ctx ends; ticks delivers instants of the machine's clock.
	Run(ctx context.Context, ticks <-chan time.Time)
}

var _ Player = (*replay.Deck)(nil)
