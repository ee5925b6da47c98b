package advice

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// openingStep is how finely opening times are told apart in ranking: nobody opens
// a plant five minutes sooner for one more person.
const openingStep = 10 * time.Minute

// rank orders ways out, best first: by the chance that the edge holds, then that
// of edge and buckets, in whole per cent, as far as the days studied can tell;
// then those that leave no floor for another day; then the opening time, people,
// kits. Ways that leave floor come behind any that lays it all and holds at the
// chance asked for: stopping always holds, and is no way to a floor. Last come
// those with too few kits on hand or too late for the opening.
func rank(ws []Way, asked float64) {
	class := func(w *Way) int {
		switch late := !w.Opening.IsZero() && !w.InTime; {
		case w.Short || late:
			return 2
		case w.LeavesM2 == 0 && w.Both >= asked:
			return 0
		}
		return 1
	}
	percent := func(share float64) int { return int(math.Round(100 * share)) }
	opening := func(w *Way) int64 {
		if w.Opening.IsZero() {
			return math.MaxInt64
		}
		return int64(w.Opening.Unix()) / int64(openingStep/time.Second)
	}
	slices.SortStableFunc(ws, func(a, b Way) int {
		return cmp.Or(
			class(&a)-class(&b),
			percent(b.Edge)-percent(a.Edge),
			percent(b.Both)-percent(a.Both),
			cmp.Compare(a.LeavesM2, b.LeavesM2),
			cmp.Compare(opening(&a), opening(&b)),
			a.People-b.People,
			a.Kits-b.Kits,
		)
	})
}
