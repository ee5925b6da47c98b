package tui

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/tui/keys"
)

// A banner is shown whole: what has no room comes with the key that reads on,
// and only after the last line does the banner go.
func TestBannerIsReadWhole(t *testing.T) {
	words := []string{
		"The log goes on in /home/crew/.local/state/floorpace/logs/2026-05-04-120414c1/A-64711fb1.jsonl: its disk reported an error (input/output error).",
		"Check the last taps: batch started 02:00:02, batch poured 02:02:45.",
		"The wall clock was set back by 1 h 0 min. Batch ages are not touched; times on paper are.",
		"Last of all: ring the site office.",
	}
	for _, size := range [][2]int{{80, 24}, {160, 45}, {60, 18}, {44, 12}} {
		c := state(t, "2-mid-row")
		m := sized(c, plainOptions(), size[0], size[1])
		c.view.Banner = words
		m.v = c.view
		seen, presses := "", 0
		for ; len(m.v.Banner) > 0; presses++ {
			if presses > 40 {
				t.Fatalf("%v: the banner never goes", size)
			}
			m.dirty = true
			for _, line := range strings.Split(m.View(), "\n")[1 : 1+len(m.bannerShown())] {
				line = strings.TrimSpace(line)
				if i := strings.Index(line, m.o.Keys.Key(keys.Quiet)+": "); i > 0 {
					line = line[:i]
				}
				seen += strings.ReplaceAll(strings.TrimLeft(line, "▲ "), " ", "")
			}
			m.now.Wall, m.now.Mono = m.now.Wall.Add(time.Second), m.now.Mono+time.Second
			m.quiet()
			m.v = c.view
		}
		for _, w := range words {
			if !strings.Contains(seen, strings.ReplaceAll(w, " ", "")) {
				t.Errorf("%v: %q was not shown whole in %d pages: %q", size, w, presses, seen)
			}
		}
	}
}
