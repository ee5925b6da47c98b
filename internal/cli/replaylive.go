package cli

import (
	"context"
	"time"

	"floorpace/internal/playback"
	"floorpace/internal/tui"
	"floorpace/internal/tui/replay"
)

// replayBeat is how often a playing day moves on: at 600 times life a beat is a
// minute of the day.
const replayBeat = 100 * time.Millisecond

func replayLive(ctx context.Context, env *Env, b *playback.Playback, path, note string, l *looks) error {
	deck := replay.New(b, path)
	if note != "" {
		deck.Warn(note)
	}
	o, err := l.options(env, tui.Options{Source: deck, Strip: deck, Title: "replay", Rate: deck.Rate, ReadOnly: "replay: the day is over, nothing is written"})
	if err != nil {
		return err
	}
	beat := time.NewTicker(replayBeat)
	defer beat.Stop()
	return runScreens(ctx, env, o, func(c context.Context) { deck.Run(c, beat.C) })
}
