//go:build !race

package line

const raceDetector = false
