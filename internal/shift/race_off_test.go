//go:build !race

package shift

const raceDetector = false
