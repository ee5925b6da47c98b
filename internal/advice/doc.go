// Package advice forecasts a pour from an instant on and judges the ways out: what
// a crew could change from here, each with its chance that the edge holds, its
// finish, opening and cost, on the same luck, ranked.
//
// # From the facts to a line
//
// A day.Snapshot becomes a [line.Config] and a [line.Start]: mixers in the middle
// of a batch, buckets out, runners on the way back, the rake's work in hand, the
// layings so far, and ahead of the front, batch by batch,
//
//	volume   net yield · share · drift, the last batch what is left
//	carry    load + distance from the mix station to that batch's place / speed
//	turn     one for each row end inside the batch, before it is poured
//
// Starts are paced as the console calls them: one in the interval of the slowest
// post (the middle of nine places ahead), or the pace set by hand, but never slower
// than the edge needs. No more buckets are in the loop than are out at that pace when
// none waits, and a bucket that is back stands until what it brings will find the
// front free: the console holds a start that the front cannot take. With B in the
// loop, the start of batch k waits for
//
//	poured(k−B) + Σ over j = k−B+1 … k of front(j) − mixing − carry − pour
//	front = max(pour + rake + turn, (carry + pour + walk back) / runners)
//
// and those before k take the interval at least. A snapshot does not say where a full bucket is, so
// those that runners can have taken up are being carried since they were mixed, and
// the first is being poured once it is due at the front.
//
// # Edges
//
// Every wet edge of the path that is still to be laid and joined is looked at,
//
//	strain = span / (edge life − margin − turn · row ends)  [L/s]
//
// with the edge life at its own spot, and the worst of each third of a batch is
// kept. An edge open now has lived from its own laying and dies at the instant the
// console shows; it is kept the same way, by quarters of a batch. A place of the
// edge that is gone already makes the chance nought until the front is cut back.
//
// # Learning
//
// The plan's minutes are the start, worth priorWeight timed batches; each step's
// ratio to the plan is a stats.LogTime. From two presses a batch: the cycle of a
// mixer (start to start while the mixers set the pace and nothing held it), the
// carry (poured less started less that mixer's mixing, when neither runner nor rake
// made it wait), and pour and rake (poured to poured while the bucket stood
// waiting). Pressed "mixed" times mixing and clearing by themselves. All zones of the
// day count. It is a pure function of the snapshot, so a restart learns the same
// from the log.
//
// Each step is lognormal with the median and the spread so learned. Once a step
// was timed Rules.OwnTimes times that day (59 unless the plan says otherwise: its
// longest is then, on 95 of 100 days, longer than 19 in 20 of all to come), the
// curve gives way to the day's own times: a table of them, each as a logarithm
// about the mean of its own mixer over the common deviation, put at the median and
// spread learned. So what was learned of level and scatter stays, and the shape,
// one slow batch in eight or two kinds of walk, is the crew's own.
//
// # Limits
//
// The zone being poured is judged with its ways out; where the whole day is asked
// for, every later zone is simulated too, from a crew standing ready, no sooner than
// its move, its doors and the handover let it begin, and the zones are strung
// together day by day. Without that later zones add the plan's minutes at the crew's
// limit to the openings. A later zone is poured with the plan's blend, rake set as
// planned, at the temperatures read last. Roll and broadcast do not hold up the
// rake. The rake's time is that of the mean area of a batch, the planned dwell that
// of the middle of nine places. Doubt about a step's median is drawn anew for each
// batch. During a hold the forecast is for mixing that goes on at once.
package advice
