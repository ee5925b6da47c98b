// Package day is the pour day as a fold over its events: what has been
// pressed, where the front stands, how old every place of the wet edge is,
// what to do next and what to call out.
//
// It is pure: no clock, no disk, no randomness. Decide turns a press into
// events or refuses it in words; Apply takes an event; Look builds the picture
// of an instant; Due lists what the passing of time itself causes.
//
// Formulas. A poured batch moves the path on by yield / (1 + loss) · share ·
// drift, drift being the ratio of front moved to litres poured between the
// last two marks. Its cells are laid one after the other from the press to the
// end of the rake's time. For a place laid at t with Wasted of its life spent
// in the bucket,
//
//	used    = Wasted + Σ Δt / edge life(T)         (sheet.Table.Used)
//	gone at   now + (1 − used) · edge life(T now)
//	joinable until   gone at − edge margin
//	slack   = joinable until − now − turn · row ends − volume to come / pace
//	needed  = max over places of volume to come / (joinable until − now − turn · row ends)
//
// Next start: when a mixer is ready, one interval after the last start, and so
// that the batch arrives when the raker is free; never later than the needed
// pace allows.
package day
