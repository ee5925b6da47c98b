//go:build !race

package playback

const raceFactor = 1
