package cli

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/daylog"
)

// Version is the program's version, as it stands in logs and papers.
const Version = "0.1.0"

// goOnFor is how long after its last event a day is gone on with rather than a
// new one begun: a pour through the night with a long stop, but not the shift
// of the next day.
const goOnFor = 16 * time.Hour

// dayDir is the folder of a plan's days: beside the plan, so that a crew finds
// it, with one folder a day inside.
func dayDir(planName string) string {
	return strings.TrimSuffix(planName, filepath.Ext(planName)) + ".days"
}

// opened is a day log ready to be written, with all that was saved before.
type opened struct {
	log     *daylog.Log
	records []daylog.Record
	words   []string
	header  daylog.Header
	resumed bool
}

// errNoDay: no day was going on, and there is no plan to begin one by.
var errNoDay = errors.New("no day to go on with")

// openDay goes on with the newest day of the folder when it is fresh enough and not
// asked to begin a new one; else it begins one for today by the plan.
func openDay(env *Env, plan []byte, po pourOptions) (*opened, error) {
	base := po.logDir
	now := env.wall()
	opt := daylog.Options{Install: install(env.Home), App: "floorpace " + Version, Suspect: po.suspect, Second: po.second, Zone: po.zone}
	opt.Header = daylog.Header{Station: station, Day: now.Format("2006-01-02"), Plan: plan}
	var unread []string
	if !po.fresh {
		day, words := newestDay(env, base)
		if day != "" {
			opt.Fallback = fallback(env, day)
			return goOn(env, day, opt)
		}
		unread = words
	}
	if plan == nil {
		return nil, errNoDay
	}
	dir := filepath.Join(base, now.Format("2006-01-02"))
	for i := 2; exists(dir) || exists(fallback(env, dir)[0]); i++ { // a second day begun on one date has a folder of its own
		dir = filepath.Join(base, fmt.Sprintf("%s-%d", now.Format("2006-01-02"), i))
	}
	opt.Fallback = fallback(env, dir)
	l, words, err := daylog.CreateDay(daylog.OS(), dir, opt.Header, env.Clock, opt)
	if err != nil {
		return nil, fail(ExitFailed, "the day log cannot be begun: %v\nchoose a folder that can be written with --log DIR", err)
	}
	c, err := daylog.Read(daylog.OS(), l.Path())
	if err != nil {
		return nil, fail(ExitFailed, "%v", err)
	}
	return &opened{log: l, records: c.Records, header: l.Header(), words: append(unread, words...)}, nil
}

func exists(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}

// station is the letter of the one console of a day.
const station = "A"

// fallback is where a day's log goes on when its own folder fails: a folder of
// its own among the program's files.
func fallback(env *Env, dir string) []string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		abs = dir
	}
	sum := sha256.Sum256([]byte(abs)) // days of one date in two places stay apart
	return []string{filepath.Join(env.Home, "logs", filepath.Base(dir)+"-"+hex.EncodeToString(sum[:4]))}
}

// goOn opens the log of the day in a folder, with all its files.
func goOn(env *Env, dir string, opt daylog.Options) (*opened, error) {
	if opt.Zone == nil { // no plan file to take it from: the day has one
		opt.Zone = zoneOf(append([]string{dir}, opt.Fallback...))
	}
	l, o, err := daylog.OpenDay(daylog.OS(), dir, station, env.Clock, opt)
	switch {
	case errors.Is(err, daylog.ErrAsk):
		return nil, fail(ExitFailed, "%s\nthe last tap in %s may be damaged: start again with --last keep or --last drop", strings.Join(o.Words, "\n"), dir)
	case errors.Is(err, daylog.ErrLocked):
		return nil, fail(ExitFailed, "another console has this day open; watch it with: floorpace watch %s", dir)
	case err != nil:
		return nil, fail(ExitFailed, "the day log cannot be opened: %v", err)
	}
	set, _, err := daylog.ReadDay(daylog.OS(), append([]string{dir}, opt.Fallback...)...)
	if err != nil {
		return nil, fail(ExitFailed, "%v", err)
	}
	_, header, ok := dayOf(set)
	if !ok {
		return nil, fail(ExitDamage, "%s: the first line of the log, which carries the plan, cannot be read: look for the second copy", dir)
	}
	return &opened{log: l, words: o.Words, resumed: true, records: o.Records, header: header}, nil
}

// zoneOf is the zone of the plan that a day carries; nil when it cannot be read.
func zoneOf(dirs []string) *time.Location {
	set, _, err := daylog.ReadDay(daylog.OS(), dirs...)
	if err != nil {
		return nil
	}
	_, header, ok := dayOf(set)
	if !ok {
		return nil
	}
	p, err := planOf(header.Plan)
	if err != nil {
		return nil
	}
	return p.Plan.Handover.Location()
}

// logFiles lists the log files in a folder.
func logFiles(dir string) []string {
	names, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		return nil
	}
	sort.Strings(names)
	return names
}

// newestDay is the folder of the day to go on with, "" for none: the one with the
// freshest event that is neither old nor sealed, be it in the day's own folder or
// where its log went on when that failed. words tell of logs that may have been
// fresh and could not be read.
func newestDay(env *Env, base string) (dir string, words []string) {
	now := env.Clock.Now()
	bestAge := goOnFor
	for _, d := range dayDirs(env, base) {
		for _, from := range append([]string{d}, fallback(env, d)...) {
			for _, name := range logFiles(from) {
				c, err := daylog.Read(daylog.OS(), name)
				if err == nil && len(c.Records) > 0 {
					if age, open := ageOf(c.Records, now); open && (dir == "" && age <= bestAge || age < bestAge) {
						dir, bestAge = d, age
					}
				} else if info, serr := os.Stat(name); serr != nil || info.Size() > 0 && now.Wall.Sub(info.ModTime()) <= goOnFor {
					words = append(words, fmt.Sprintf("%s cannot be read: if a day was going on there, this one begins without it. Run verify on it, and look for the second copy.", clean.String(name)))
				}
			}
		}
	}
	return dir, words
}

// ageOf is how long ago the last event of a log was: by the clock that counts
// sleep within a boot, for the wall clock may have been set; open is false for a
// sealed log.
func ageOf(records []daylog.Record, now daylog.Reading) (age time.Duration, open bool) {
	last := len(records) - 1
	if records[last].Kind == daylog.KindSealed {
		return 0, false
	}
	return daylog.Now(records, now).At.Sub(daylog.Times(records, now.Boot)[last].At), true
}

// dayDirs lists the folders of the days of base, those too of which only the
// fallback folder is left.
func dayDirs(env *Env, base string) (dirs []string) {
	entries, err := os.ReadDir(base)
	if err != nil {
		entries = nil // not there yet, or its disk is gone: the fallback folders say more
	}
	for _, e := range entries {
		if e.IsDir() {
			dirs = append(dirs, filepath.Join(base, e.Name()))
		}
	}
	spares, err := filepath.Glob(filepath.Join(env.Home, "logs", "*-????????"))
	if err != nil {
		return dirs
	}
	for _, spare := range spares {
		name := filepath.Base(spare)
		d := filepath.Join(base, name[:len(name)-9])
		if fallback(env, d)[0] == spare && !slices.Contains(dirs, d) {
			dirs = append(dirs, d)
		}
	}
	return dirs
}

// install is this installation's id, made once.
func install(home string) string {
	name := filepath.Join(home, "installation")
	if b, err := os.ReadFile(name); err == nil && len(strings.TrimSpace(string(b))) > 0 {
		return strings.TrimSpace(string(b))
	}
	id := rand.Text()
	if err := os.MkdirAll(home, 0o755); err == nil {
		if err := os.WriteFile(name, []byte(id+"\n"), 0o644); err == nil {
			return id
		}
	}
	return "" // no place to remember it: the check for a copied folder is off
}

// logPath finds the log that an argument means: a file, or a folder of a day.
func logPath(arg string) (string, error) {
	st, err := os.Stat(arg)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", fail(ExitUsage, "%s: there is no such log", arg)
	case err != nil:
		return "", fail(ExitUsage, "%v", err)
	case !st.IsDir() && strings.EqualFold(filepath.Ext(arg), ".toml"):
		return "", fail(ExitUsage, "%s: this is a plan, not the log of a day: give a log or its folder; those of this plan lie in %s", arg, dayDir(arg))
	case !st.IsDir():
		return arg, nil
	}
	files := logFiles(arg)
	if len(files) == 0 {
		return "", fail(ExitUsage, "%s: no day log (*.jsonl) in this folder", arg)
	}
	return files[len(files)-1], nil
}
