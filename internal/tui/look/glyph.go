package look

// Glyph names a sign; the glyph set says which character draws it. The Unicode
// signs are taken, as far as possible, from the set that nearly every console
// font has, and each is one cell wide.
type Glyph uint8

// Signs.
const (
	GlyphJoinable Glyph = iota
	GlyphAtRisk
	GlyphGone
	GlyphNext
	GlyphStation
	GlyphSlack
	GlyphDoor
	GlyphDrain
	GlyphColumn
	GlyphStopAcross // piece of a stop line that runs across the screen
	GlyphStopDown   // piece of a stop line that runs down the screen
	GlyphGood
	GlyphWarn
	GlyphBad
	GlyphMore // text cut short
	GlyphDot  // separator between figures on a line
	GlyphRule
	GlyphRuleDown
	GlyphUp
	GlyphDown
	GlyphLeft
	GlyphRight
	GlyphUpLeft
	GlyphUpRight
	GlyphDownLeft
	GlyphDownRight
	GlyphBeat // heartbeat, on; off is a dot
	GlyphPointDown
	GlyphPointUp
	GlyphTick
	GlyphEndLeft // ends of a scale bar
	GlyphEndRight
	GlyphFull // a full cell of ink
	GlyphReading
	GlyphOne // one, two, many in one column of a time line
	GlyphTwo
	GlyphMany
	GlyphPoint // a point of a curve where it cannot be drawn finer
	glyphCount
)

// GlyphSet is one of the two sets of characters.
type GlyphSet uint8

// The two sets.
const (
	Unicode GlyphSet = iota
	ASCII
)

var glyphs = [2][glyphCount]string{
	Unicode: {
		GlyphJoinable: "○", GlyphAtRisk: "▲", GlyphGone: "×", GlyphNext: "►", GlyphStation: "⌂", GlyphSlack: "♦",
		GlyphDoor: "∩", GlyphDrain: "¤", GlyphColumn: "■", GlyphStopAcross: "═", GlyphStopDown: "║",
		GlyphGood: "✓", GlyphWarn: "▲", GlyphBad: "×", GlyphMore: "…", GlyphDot: "·", GlyphRule: "─", GlyphRuleDown: "│",
		GlyphUp: "↑", GlyphDown: "↓", GlyphLeft: "←", GlyphRight: "→",
		GlyphUpLeft: "↖", GlyphUpRight: "↗", GlyphDownLeft: "↙", GlyphDownRight: "↘",
		GlyphBeat: "●", GlyphPointDown: "▼", GlyphPointUp: "▲", GlyphTick: "┴",
		GlyphEndLeft: "├", GlyphEndRight: "┤", GlyphFull: "█", GlyphReading: "◊", GlyphOne: "│", GlyphTwo: "║", GlyphMany: "█", GlyphPoint: "•",
	},
	ASCII: {
		GlyphJoinable: "o", GlyphAtRisk: "!", GlyphGone: "x", GlyphNext: ">", GlyphStation: "M", GlyphSlack: "*",
		GlyphDoor: "D", GlyphDrain: "@", GlyphColumn: "#", GlyphStopAcross: "=", GlyphStopDown: "H",
		GlyphGood: "+", GlyphWarn: "!", GlyphBad: "x", GlyphMore: "~", GlyphDot: "-", GlyphRule: "-", GlyphRuleDown: "|",
		GlyphUp: "^", GlyphDown: "v", GlyphLeft: "<", GlyphRight: ">",
		GlyphUpLeft: "\\", GlyphUpRight: "/", GlyphDownLeft: "/", GlyphDownRight: "\\",
		GlyphBeat: "*", GlyphPointDown: "v", GlyphPointUp: "^", GlyphTick: "+",
		GlyphEndLeft: "|", GlyphEndRight: "|", GlyphFull: "#", GlyphReading: "%", GlyphOne: "|", GlyphTwo: "H", GlyphMany: "#", GlyphPoint: "*",
	},
}

// textures stand in for a fill where there is no colour.
var textures = [2][RoleCount]string{
	Unicode: {
		Bare: "·", BareBay: ":", RowA: "░", RowB: "▒", Column: "■",
		Track: "░", BandSlow: "▒", BandHold: "█", BandOver: "·",
		PlateText: "█", PlateGood: "█", PlateWarn: "█", PlateBad: "█",
		Joinable: "○", AtRisk: "▲", Gone: "×",
	},
	ASCII: {
		Bare: ".", BareBay: ",", RowA: ":", RowB: ";", Column: "#", // not "=": that is a stop line
		Track: "-", BandSlow: "~", BandHold: "#", BandOver: ".",
		PlateText: "#", PlateGood: "#", PlateWarn: "#", PlateBad: "#",
		Joinable: "o", AtRisk: "!", Gone: "x",
	},
}
