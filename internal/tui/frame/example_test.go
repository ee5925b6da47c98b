package frame_test

import (
	"fmt"

	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
)

// A screen splits its pane and draws blocks; the canvas stays exact.
func Example() {
	l := look.New(look.Dark(), look.NoColor, look.Unicode)
	c := frame.New(l, 34, 4)
	left, right := c.Pane().Left(16)
	left, _ = left.Right(2) // two columns of air between the blocks
	body := left.Title("Kits", "")
	body.Spans(0, 0, frame.Span{Role: look.Strong, Text: "31"}, frame.Span{Role: look.Dim, Text: " used"})
	body.PrintFit(0, 1, body.W(), look.Text, "needed 52 on hand 55")
	right.Title("Slab", "4 min ago").Wrap(0, look.Text, "68 °F, margin 9 °F, rising")
	for _, line := range c.Lines() {
		fmt.Printf("[%s]\n", line)
	}
	// Output:
	// [Kits ─────────  Slab ─── 4 min ago]
	// [31 used         68 °F, margin 9   ]
	// [needed 52 on …  °F, rising        ]
	// [                                  ]
}
