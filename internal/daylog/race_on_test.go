//go:build race

package daylog_test

// raceOn: figures mean nothing under the race detector.
const raceOn = true
