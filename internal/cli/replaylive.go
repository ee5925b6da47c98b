package cli

import (
	"context"

	"floorpace/internal/playback"
)

func replayLive(context.Context, *Env, *playback.Playback, string, *looks) error { return nil }
