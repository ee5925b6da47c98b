// Package pace turns a plan and the temperatures of the day into what a crew
// must keep: kits, the band between the slowest pace that keeps the wet edge
// and the fastest the posts can do, go or no-go, advice on temperature, and when
// the floor may be used.
//
// # Formulas
//
// Take-off, with V the zone's volume of package floor:
//
//	kits          ceil(V · (1 + loss) / yield); one kit lays net = yield / (1 + loss)
//	area a kit    net · area / V, the mean over the zone
//
// The ceiling forgives a millionth of a kit, so that 301.0000000001 is 301.
//
// Low end of the band (see package path for span):
//
//	needed pace   max over edges ahead of span / (edge life − margin − turn · row ends)
//
// with the edge life of each place's own temperature where a spot was read. High
// end, with d the straight distance from mix station to front, A the area of a
// batch:
//
//	mixers            M / (mix steps + scrape + reset)
//	runners           R / (load + d/v_full + pour + d/v_empty)
//	buckets           B / (mix steps + scrape + a runner's round)
//	rake              1 / (pour + A / rake rate)
//	roll, broadcast   rate / A, while they are at work
//	crew's limit      the least of them, by name; it falls as d grows
//
// From both:
//
//	patch             (edge life − margin − turn) · area a minute
//	widest pull       patch / row depth;  deepest row  patch / width
//	dwell             mix steps from the reacting one on + scrape + load + carry + pour
//	furthest carry    (bucket life − margin − dwell without the carry) · v_full
//	most buckets      floor((bucket life + steps before the reaction) / interval)
//	plain form        width · front speed · depth / net = batches a minute
//
// Cure, per use, with h(T) the sheet's hours at a slab temperature:
//
//	usable            the instant at which Σ Δt / h(T) since the last batch reaches 1
//	latest last batch opening − inspection − h(T of the cure)
//
// # Go or no-go
//
// A gate is asked for every limit that plan or sheet sets, and for the dew
// margin, the band, the buckets and the kits in any case. Stop is a breach by the
// readings, amber one that an instrument's error could hide, a reading that was
// not taken, or fewer moisture tests than the area asks for. One stop is no-go.
//
// # Advice on temperature
//
// Each blend is judged by its own lives at the temperatures read: in range, band
// open, buckets alive at the furthest carry, opening met, some on hand. The plain
// blend is said first when it does, at the pace between the two ends; then the
// accelerated one, with why the plain one is passed over; else what to heat, cool
// or add, or not to pour.
//
// # Units
//
// SI inside (m, m², L, °C); paces are batches a minute. Words are in the plan's
// units.
//
// # Limits
//
// Outside a table of the sheet there is no figure: Band.Missing names it and
// nothing is guessed. Posts are taken at their planned times; how they vary is
// for package line. The carry is a straight line, not round columns. Zones follow
// each other at the crew's limit at each one's start. The dew margin at the lowest
// slab expected takes the air as it is now.
//
// # Errors
//
// Floors and Check fail for a zone that package path refuses, named. Everything
// else that is wrong with a day is a gate, not an error.
//
// # Sources
//
// The patch is the rule of continuous placing, the area laid while an edge stays
// open: rows of testdata/placing.csv. Equivalent age for cures: ASTM C1074. Dew
// margin: ISO 8502-4 practice and package air. Moisture and profile: ASTM F1869,
// F2170, ICRI 310.2R, package slab. The posts' sums are arithmetic; that these are
// the posts is common practice, no source.
package pace
