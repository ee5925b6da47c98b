//go:build !race

package record

// raceFactor is how much slower the race detector lets a run be.
const raceFactor = 1
