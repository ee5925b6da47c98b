package look

// RGB is an sRGB colour, 8 bits a channel.
type RGB struct{ R, G, B uint8 }

// Pair is the ink and the ground of a role, as 24-bit colours and as the
// numbers 0–15 of a 16-colour terminal.
type Pair struct {
	Ink, Ground     RGB
	Ink16, Ground16 uint8
}

// Palette gives every role its pair.
type Palette struct {
	Name  string
	Thick bool // thin strokes wash out: draw curves with blocks, not with dots
	Pairs [RoleCount]Pair
}

func hex(v uint32) RGB { return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)} }

func pair(ink, ground uint32, ink16, ground16 uint8) Pair {
	return Pair{hex(ink), hex(ground), ink16, ground16}
}

// Dark is the palette for a dark plant: a near-black ground that does not
// light up the mix station, light words, edge states far apart in lightness so
// that they stay apart in every kind of colour vision. The 16-colour
// numbers were searched for: of the pairs with a contrast of 7:1 these lie
// farthest apart in every kind of colour vision.
func Dark() Palette {
	const ground = 0x0f1317
	on := func(ink uint32, ink16 uint8) Pair { return pair(ink, ground, ink16, 0) }
	return Palette{Name: "dark", Pairs: [RoleCount]Pair{
		Text:    on(0xe6e2d8, 15),
		Dim:     on(0xa9b0b7, 7),
		Strong:  on(0xffffff, 15),
		Heading: on(0xd8c3a0, 15),
		Accent:  on(0x86c8ff, 15),
		Good:    on(0x35c9a5, 10),
		Warn:    pair(0xffd24a, ground, 0, 11),
		Bad:     pair(0xff8f5f, ground, 0, 15),

		PlateText: pair(0x0f1317, 0xcfd6dc, 0, 7),
		PlateGood: pair(0x04211b, 0x45c8b4, 0, 14),
		PlateWarn: pair(0x1f1400, 0xffcc1f, 0, 11),
		PlateBad:  pair(0xffffff, 0x9b1230, 15, 0),

		Rule:   on(0x59626b, 8),
		Curve:  on(0x86c8ff, 14),
		Curve2: on(0xd8c3a0, 11),
		Limit:  on(0xff8f5f, 15),

		Bare:    pair(0xa9b0b7, 0x1a2026, 7, 8),
		BareBay: pair(0xa9b0b7, 0x10205a, 7, 8),
		RowA:    pair(0x0f1317, 0x5f98b4, 0, 12),
		RowB:    pair(0x0f1317, 0x3f7590, 0, 4),
		Column:  pair(0x0f1317, 0xf4efe8, 7, 5),

		Joinable: pair(0x04211b, 0x45c8b4, 0, 14),
		AtRisk:   pair(0x1f1400, 0xffcc1f, 0, 11),
		Gone:     pair(0xffffff, 0x9b1230, 15, 0),
		Drain:    pair(0xe6e2d8, ground, 15, 0),
		StopLine: pair(0xffffff, ground, 15, 0),
		Door:     pair(0xd8c3a0, ground, 15, 0),
		Station:  pair(0x0f1317, 0xe6e2d8, 0, 7),
		Next:     pair(0x00131f, 0x86c8ff, 15, 4),
		Slack:    pair(0xffffff, 0x0b1f9e, 0, 11),

		Track:    pair(0xa9b0b7, 0x2a323a, 7, 8),
		BandSlow: pair(0xa9b0b7, 0x9b1230, 0, 1),
		BandHold: pair(0x0f1317, 0x3d9c89, 0, 6),
		BandOver: pair(0xa9b0b7, 0x59626b, 7, 8),
	}}
}

// Sun is the palette for bright daylight: a white ground, black words, and
// plates instead of tinted words where a state must stand out, because thin
// tinted strokes wash out in sunlight.
func Sun() Palette {
	const ground = 0xfdfcf7
	on := func(ink uint32, ink16 uint8) Pair { return pair(ink, ground, ink16, 15) }
	return Palette{Name: "sun", Thick: true, Pairs: [RoleCount]Pair{
		Text:    on(0x14171a, 0),
		Dim:     on(0x454b52, 0),
		Strong:  on(0x000000, 0),
		Heading: on(0x3b3020, 0),
		Accent:  on(0x003f8a, 4),
		Good:    on(0x00544a, 4),
		Warn:    pair(0x1a1200, 0xffd057, 0, 11),
		Bad:     pair(0xffffff, 0x8a0017, 15, 0),

		PlateText: pair(0xfdfcf7, 0x2b3138, 15, 4),
		PlateGood: pair(0x00241e, 0x7ff0d4, 15, 4),
		PlateWarn: pair(0x1a1200, 0xffc400, 0, 11),
		PlateBad:  pair(0xffffff, 0x8a0017, 15, 0),

		Rule:   on(0x8a8f94, 8),
		Curve:  on(0x003f8a, 4),
		Curve2: on(0x4d3600, 0),
		Limit:  on(0x8a0017, 1),

		Bare:    pair(0x454b52, 0xd6d2c6, 0, 7),
		BareBay: pair(0x454b52, 0xd7c4ff, 0, 7),
		RowA:    pair(0xffffff, 0x3f6d87, 0, 12),
		RowB:    pair(0xffffff, 0x345b72, 0, 2),
		Column:  pair(0xffffff, 0x14171a, 15, 8),

		Joinable: pair(0x00241e, 0x7ff0d4, 15, 4),
		AtRisk:   pair(0x1a1200, 0xffc400, 0, 11),
		Gone:     pair(0xffffff, 0x8a0017, 15, 0),
		Drain:    pair(0x14171a, ground, 0, 15),
		StopLine: pair(0x000000, ground, 0, 15),
		Door:     pair(0x3b3020, ground, 0, 15),
		Station:  pair(0xfdfcf7, 0x14171a, 15, 0),
		Next:     pair(0xffffff, 0x003f8a, 0, 14),
		Slack:    pair(0x000000, 0xffb6ea, 0, 11),

		Track:    pair(0x454b52, 0xd6d2c6, 0, 7),
		BandSlow: pair(0xffffff, 0x8a0017, 15, 1),
		BandHold: pair(0xffffff, 0x1f8a78, 0, 6),
		BandOver: pair(0x454b52, 0xb3aea2, 0, 8),
	}}
}
