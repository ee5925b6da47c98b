package tui

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
)

// What was saved last is said in whole clauses: the offer to take it back gives
// way before it is cut.
func TestLastPressIsNotCut(t *testing.T) {
	c := state(t, "2-mid-row")
	c.do(t, day.Press{Kind: day.TallyTaken, Counts: "A=20 B=20 aggregate=20"})
	c.wait(time.Second)
	for w := 76; w <= 100; w++ {
		m := sized(c, plainOptions(), w, 24)
		line := strings.Split(m.View(), "\n")[23]
		if !strings.Contains(line, "empties counted") || strings.Contains(line, "…") {
			t.Errorf("%d wide: %q", w, line)
		}
	}
}
