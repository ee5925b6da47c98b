// Package record makes the papers of a pour day from its events: the record as
// a page for the browser, as a PDF, as tables and as one data document; what
// the day teaches for the next one (Learn), as a crew file that a plan takes in;
// and days side by side (CompareDays).
//
// Everything printed comes from one value, Paper: SI inside (m, m², L, °C, s,
// kits), each figure either there or with the reason why it is not. The page,
// the PDF, the tables and the document only show it, so they cannot differ.
//
// Formulas.
//
//	opened = used + scrapped + left, in kits: a batch opens one kit of each part;
//	         a poured batch uses its share of it and leaves the rest
//	depth of a batch   litres poured net of loss / area it covers [1 L/m² = 1 mm],
//	         only where a front mark behind it has measured the area
//	depth of a bay     Σ litres of its cells · (poured / path volume) / Σ area
//	bucket age         poured − start of the reaction
//	edge left          (1 − wasted − Σ Δt / edge life(T)) · edge life(newest T)
//	interval           poured − poured before, same zone
//
// The floor is drawn by cells: a cell belongs to the batch that lay its middle.
//
// Nothing is mended: what does not fit together is listed by Check, all at
// once, and stands on the papers.
//
// Learn fits the logarithms of the times seen: median exp(mean), spread the
// standard deviation, 95 % interval of the median by Student's t. A time far from
// all the rest (modified z-score, oddAt) is left out and named. Walking speed
// and drift are straight lines (package stats), carries far from the line left out
// in the same way. A rate is only learned where the post's work waited for it:
//
//	rake     area of the batch before / (pour to pour − plan's pour − turns)
//	roller   area of the row / (row to row), the row ready before the one before was done
//	loss     (1 + plan's loss) · litres poured / litres of path covered − 1, mark to mark
//
// Times across a hold, an outage, a sleep or restart of the console, missing lines
// or an undone press are not the crew's own. A cycle is written into a crew file only
// when it is shorter than the plan's: the wait for the console's call is in it.
//
// The papers are no advice: the data sheet, the site's rules, local codes and
// licensed practice come first.
package record
