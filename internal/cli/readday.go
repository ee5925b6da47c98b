package cli

import (
	"errors"
	"path/filepath"

	"floorpace/internal/daylog"
)

// followDay follows every log file of the day that the one at path belongs to: in
// its folder and where the day goes on when that fails. A file of a name that no
// console gives stands for itself.
func followDay(env *Env, path string) *daylog.DayFollower {
	if !daylog.IsLogName(filepath.Base(path)) {
		return daylog.FollowFile(daylog.OS(), path)
	}
	dir := filepath.Dir(path)
	return daylog.FollowDay(daylog.OS(), dir, fallback(env, dir)...)
}

// readDay reads what f follows, changing nothing: the records in order, and the
// header the day began with.
func readDay(f *daylog.DayFollower, path string) ([]daylog.Record, daylog.Header, error) {
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
