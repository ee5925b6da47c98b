// Package planfile reads a pour plan, its data sheet and its crew file from TOML
// into plan.Plan, and says everything that is wrong with them at once, each
// problem at its place:
//
//	cellar.toml:31:1: the outline crosses itself …; list the corners in the order of a walk along the wall
//
// The keys, their units and defaults are described in config/README.md.
//
// # How a place is found
//
// The TOML library decodes into plain maps and gives no position for a value.
// So the text, once the library has accepted it, is scanned a second time for
// keys, table headers, list items and nothing else (see scan); the two trees
// have the same shape, and a problem's dotted key leads to its line and column.
// Lines and columns count from 1; columns count characters, not bytes.
//
// # Which file counts
//
// A crew file holds some of the keys of the plan's own [crew], and its loss. It is
// read first and the plan's own keys over it, so that the plan counts; what stands
// in both is noted. cycle and reset are one figure written in two ways: the later
// one read counts.
//
// # Figures
//
// A bare number is in the units of its file ("us" or "metric"; a sheet may have
// other units than its plan), a text carries its own unit. A bare time is
// minutes, except in cure tables, where hours and minutes are both common and
// the unit must be written.
//
// # Errors
//
// When the TOML itself is broken, the faulty lines are left out and the rest is
// still read, so that one missing quote does not hide the other slips; what may
// only seem to be missing because a line was left out is then not reported.
//
// # Limits
//
// A file holds at most MaxFile bytes, is UTF-8 (a byte order mark is skipped),
// with either kind of line end. Names hold at most maxName characters and
// nothing that a terminal could act upon.
package planfile
