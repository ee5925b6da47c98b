// Package playback plays a day that is on the log: the picture of any instant,
// a cursor that runs at up to 600 times the day's own pace, steps and jumps.
//
// It is pure: no clock, no disk. Whoever holds a clock says how much real time
// has passed (Advance). The picture at an instant t is that of the first n
// events, n the number of events not after t: what the crew saw then. A press
// that was taken back later still stands at instants before.
//
// A state is not folded from the beginning each time. States are kept every
// few events (every) and after each undo, which is the one event that costs a
// fold; any other state is a clone of the nearest one before, with the events
// in between applied. Memory grows with the number of kept states times the
// batches of the day.
package playback
