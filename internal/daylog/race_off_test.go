//go:build !race

package daylog_test

const raceOn = false
