// Package day is the pour day as a fold over its events: what has been
// pressed, where the front stands, how old every place of the wet edge is,
// what to do next and what to call out.
//
// It is pure: no clock, no disk, no randomness. Decide turns a press into
// events or refuses it in words; Apply takes an event; Look builds the picture
// of an instant; Due lists what the passing of time itself causes.
//
// # Front
//
// A poured batch moves the path on by yield / (1 + loss) · share · drift. Drift is
// path volume moved over litres poured between the last two marks, 1 before the
// first and after a reset of the rake, kept within 0.5 to 2. Path volume counts
// each bay at its own depth, so a deep bay on plan has a drift of 1. A mark sets
// the front and stretches what was laid since the mark before.
//
// # Wet edge
//
// A batch's cells are laid one after the other from the press to the end of the
// rake's time (or after the batch before, if that is later). For a place laid at t,
// with Wasted of its life spent in the bucket beyond the plan's own handling,
//
//	used             Wasted + Σ Δt / edge life(T)          (sheet.Table.Used)
//	gone at          now + (1 − used) · edge life(T now)
//	joinable until   gone at − edge margin
//
// What is still under the rake has its whole life from the instant it is laid.
//
// The front comes back in whole batches: with v litres of path until the place is
// covered, b = v / (net · drift) batches, w = ceil(b) − 1 of them before the one
// that covers it, and last = turn · row ends + (b − w) · rake's time over a batch,
//
//	slack    joinable until − (next pour + w · interval + last)
//	needed   the longest interval with slack 0, counted from the last pour
//	         (joinable until − last pour − last) / (w + 1), or with that overdue
//	         from now: (joinable until − now − last) / w
//
// The next pour is one interval after the last, or now. The needed pace is that of
// the most pressing place not yet at risk.
//
// # Next start
//
// When a mixer is ready, one interval after the last start, and so that the batch
// arrives when the raker is free; never later than the needed pace allows.
//
// # Kits
//
// With R the kits of plan yield still to lay, H those at hand, r the drift by all
// marks since the rake was set (and by the last three kits):
//
//	to finish        ceil(R / r)
//	saved for        floor((H − R) / (1 − r)) more kits at this use, then a reset
//	                 still lets H suffice
//
// # Units, limits, errors
//
// SI; pace in batches a minute. A figure that the sheet does not give is missing
// and said to be (Edge.Missing, BucketView.OK). Readings hold until the next; the
// slab between two readings is not guessed. A press that does not fit is refused
// (Refusal) and changes nothing; an event from elsewhere that does not fit stays on
// record and changes nothing. Dead-bands of calls carry their reasons beside them.
//
// # Sources
//
// Equivalent age: ASTM C1074. The rest is arithmetic, checked against days worked
// by hand in the repository's testdata/days.
package day
