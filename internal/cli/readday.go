package cli

import (
	"errors"
	"path/filepath"

	"floorpace/internal/daylog"
)

// readDay reads every log file of the day that the one at path belongs to,
// changing nothing: the records in order, and the header the day began with.
func readDay(path string) ([]daylog.Record, daylog.Header, error) {
	f := daylog.FollowDay(daylog.OS(), filepath.Dir(path))
	_, err := f.Poll()
	records, head, ok := dayOf(f.Set())
	switch {
	case ok:
		return records, head, nil
	case errors.Is(err, daylog.ErrForeign):
		return nil, head, fail(ExitUsage, "%s: this is not a day log", path)
	case err != nil:
		return nil, head, fail(ExitUsage, "%v", err)
	}
	return nil, head, fail(ExitDamage, "%s: its first line, which carries the plan, cannot be read: look for the second copy", path)
}

// dayOf gives the records of a set in order, and the header of its first file:
// the one that goes on from no other.
func dayOf(set *daylog.Set) ([]daylog.Record, daylog.Header, bool) {
	var first daylog.Header
	ok := false
	for _, w := range set.Writers() {
		h, has := set.Header(w)
		if !has {
			continue
		}
		if _, follows := set.Header(h.From); follows && h.From != "" {
			continue
		}
		if !ok || h.Wall.Before(first.Wall) {
			first, ok = h, true
		}
	}
	return set.Records(nil), first, ok
}
