// Package background settles, before Bubble Tea starts, that nobody asks the
// terminal for its background colour.
//
// Bubble Tea v1 asks in its own package init and waits up to five seconds for
// an answer; a serial console, a recorder or a pipe never gives one, and even
// --help would wait. Our palettes paint their own ground, so the answer is of
// no use to us.
//
// The order is the whole trick: Go initialises packages in the order of their
// import paths as soon as what they import is ready. This package imports only
// lipgloss and its path sorts before github.com/…, so it is initialised right
// after lipgloss and before Bubble Tea. Import nothing else here.
package background

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
