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

// Playing gives the options with a player in place of a live day.
func (o Options) Playing(p Player) Options {
	o.Source, o.Strip, o.Rate = p, p, p.Rate
	o.ReadOnly = "this day is over: a replay takes no presses"
	if o.Title == "" {
		o.Title = "replay"
	}
	return o
}
