package daylog

import "time"

// WallForm writes an instant as on the wire.
func WallForm(at time.Time) string { return string(appendWall(nil, at)[6:35]) }

// ReadWall reads an instant as on the wire.
func ReadWall(s string) (time.Time, bool) {
	var d decoder
	return d.wall([]byte(s))
}
