package record

import (
	"testing"

	"floorpace/internal/day"
	"floorpace/internal/plan"
)

// What the papers say of a stop and of the machine's clock; English, no source.
func TestWordsOfStopsAndClocks(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{stopWords(day.StopWithoutReason), "STOP, no reason given yet"},
		{stopWords("SOMEONE HURT"), "STOP SOMEONE HURT"},
		{words(day.Event{Kind: day.ClockStalled, Text: "The program stood still for 1 min 0 s."}, &plan.Plan{}), "machine stalled: The program stood still for 1 min 0 s."},
		{words(day.Event{Kind: day.ClockSlept}, &plan.Plan{}), "machine slept"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
