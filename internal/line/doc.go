// Package line forecasts a pour day: it simulates the crew line, thousands of
// days at a time, from any observed state to the last batch, and counts how
// often every edge holds and no bucket dies.
//
// # The line
//
// mixers -> buckets -> runners -> pour and gauge rake -> spike roll -> broadcast.
// A batch is mixed in its bucket. All instants are whole milliseconds after the
// study's zero ("now"); negative instants are in the past. For batch k in the
// order in which mixing ends (equal instants: lower mixer first):
//
//	pick   = max(ready, first runner back)
//	arrive = max(pick + carry, previous arrival + headway)
//	pour   = max(arrive, previous raked + turn)
//	poured = pour + pour time;   raked = poured + rake time
//	back   = poured + walk       (bucket and runner; the bucket rests before it is handed out)
//	rolled = max(raked, first roller free) + roll time
//	done   = max(rolled, previous batch rolled, first caster free) + broadcast time
//
// and the mixer that has just finished starts again at
//
//	start  = max(ready + clear, its bucket back, previous start + StartInterval)
//
// Runners are taken by whoever is back first. Buckets go round in turn: the one
// poured first is handed out first. Posts after the rake work in path order.
// Under these rules no event list is needed: one pass over the batches is
// exact, which [Oracle], a plain event simulator of the same line, confirms
// tick by tick in the tests.
//
// # Edges and buckets
//
// t(v) is the instant at which path volume v (litres) is laid: linear from pour
// to raked inside a batch, and a batch that starts at v owns v. A [Check] holds
// when
//
//	t(close) - t(close - span) <= edge life * (1 - spent) - turn - margin
//	spent = max(0, dwell - planned dwell) / bucket life
//
// with dwell = poured - reaction start, of the batch that laid the older side.
// A bucket is dead when its dwell exceeds bucket life less the bucket margin.
//
// # Luck
//
// Each step time is read from a table of 1,024 equally likely values; the cell
// is a pure function of (seed, day, step, batch), see [stream]. So the result
// does not depend on the number of cores, and two plans are compared on the
// same luck.
//
// # Limits
//
// At most 8 mixers, 8 runners, 4 rollers, 4 casters and 64 buckets; a day must
// fit in 2^30 ms (12.4 days); mixing takes at least 1 ms. At a zone move the
// line drains: mixing for the next zone starts when the last batch of the
// previous one is raked and the move is over.
//
// Sources: the recursion is Lindley's (1952) for single posts and Kiefer and
// Wolfowitz's (1955) for several servers, both from memory; the tests compare
// with textbook values of queueing theory in testdata.
package line
