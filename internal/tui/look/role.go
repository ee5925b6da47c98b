package look

// Role says what a cell means; the palette says how that looks. A role is a
// pair: ink on a ground. No screen names a colour.
type Role uint8

// Words on the plain ground of the screen.
const (
	Text    Role = iota // ordinary words and figures
	Dim                 // words that may be read last: units, hints, keys not needed now
	Strong              // the figure that a block is about
	Heading             // titles of blocks
	Accent              // keys to press, the thing chosen
	Good                // holds, saved, on pace
	Warn                // act soon
	Bad                 // act now, lost

	// Words on a plate of colour, for calls and for the one thing to press.
	PlateText // chosen line
	PlateGood
	PlateWarn
	PlateBad

	// Lines and curves. Not words: see Role.Words.
	Rule  // thin rules, axes, ticks
	Curve // first curve of a chart
	Curve2
	Limit // limit line of a chart

	// Areas of the floor. Fills carry no words: see Role.Words.
	Bare    // to be poured
	BareBay // to be poured, in a bay with its own depth
	RowA    // laid, odd rows (or batches)
	RowB    // laid, even rows (or batches)
	Column  // column, pit or other hole

	// Things on the floor, each with a glyph of its own.
	Joinable // wet edge that still takes new material
	AtRisk   // wet edge past its margin
	Gone     // edge that no longer joins
	Drain
	StopLine
	Door
	Station // mix station
	Next    // next place to pour
	Slack   // where the least slack is

	// Fills of gauges and bars.
	Track    // what is not filled
	BandSlow // pace too slow for the edge
	BandHold // pace that holds the edge within the crew's limit
	BandOver // pace past the crew's limit

	// RoleCount is the number of roles; not a role.
	RoleCount
)

var roleNames = [RoleCount]string{
	Text: "text", Dim: "dim", Strong: "strong", Heading: "heading", Accent: "accent",
	Good: "good", Warn: "warn", Bad: "bad",
	PlateText: "plate text", PlateGood: "plate good", PlateWarn: "plate warn", PlateBad: "plate bad",
	Rule: "rule", Curve: "curve", Curve2: "second curve", Limit: "limit",
	Bare: "bare", BareBay: "bare bay", RowA: "row a", RowB: "row b", Column: "column",
	Joinable: "joinable", AtRisk: "at risk", Gone: "gone", Drain: "drain", StopLine: "stop line",
	Door: "door", Station: "mix station", Next: "next", Slack: "least slack",
	Track: "track", BandSlow: "band slow", BandHold: "band hold", BandOver: "band over",
}

// String names the role, for tests and messages.
func (r Role) String() string {
	if r < RoleCount {
		return roleNames[r]
	}
	return "no such role"
}

// Words tells whether words and glyphs that must be read are drawn in this
// role. Such a pair has a contrast of at least 7:1; the others are fills,
// rules and curves, which are drawn beside words or glyphs that say the same.
func (r Role) Words() bool {
	switch r {
	case Rule, Curve, Curve2, Limit, Bare, BareBay, RowA, RowB, Column, Track, BandSlow, BandHold, BandOver:
		return false
	}
	return r < RoleCount
}
