// Package pace turns a plan and the temperatures of the day into what a crew
// must keep: kits, the band between the slowest pace that keeps the wet edge
// and the fastest the posts can do, go or no-go, and when the floor may be used.
//
// Formulas (SI inside; batches a minute outside):
//
//	kits          ceil(volume · (1 + loss) / yield), so one kit lays yield / (1 + loss)
//	needed pace   max over pairs of span / (edge life − margin − turn · row ends), see path
//	mixers        M / (mix steps + scrape + reset)
//	runners       R / (load + d/v_full + pour + d/v_empty), d from mix station to front
//	buckets       B / (mix + scrape + runner's round)
//	rake          1 / (pour + area of a batch / rake rate)
//	roll, broadcast   rate / area of a batch
//	crew's limit  the least of the posts
//	patch         (edge life − margin − turn) · area a minute
//	widest pull   patch / row depth;  deepest row  patch / width
//	dwell         mix from the reacting step + scrape + load + carry + pour
//	furthest carry    (bucket life − margin − dwell without the carry) · v_full
//	most buckets  floor((bucket life + steps before the reaction) / interval)
//	plain form    width · front speed · depth / yield = batches a minute
//
// The form with the patch is the wet-edge rule of continuous placing: the area
// laid while an edge stays open (see the placing-rate rows under testdata).
//
// Outside a table of the sheet there is no figure: Band.Missing names it and
// nothing is guessed.
package pace
