// Package shift runs a pour day: the one writer. A press is decided against the
// state, appended to the log, and only when it is on disk applied and shown as
// saved. Everybody else reads immutable views.
//
// Desk is the plain, single-threaded heart, for tests, demo and replay. Shift
// puts one goroutine around it: presses come in through a queue, views go out
// through a mailbox that holds the newest one, so that a screen that nobody
// reads never holds up the log.
package shift
