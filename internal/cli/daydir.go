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
	"sort"
	"strings"
	"time"

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

// openDay goes on with the newest day of the folder when it is fresh enough and not
// asked to begin a new one; else it begins one for today.
func openDay(env *Env, plan []byte, po pourOptions) (*opened, error) {
	base := po.logDir
	now := env.wall()
	opt := daylog.Options{Install: install(env.Home), App: "floorpace " + Version, Suspect: po.suspect, Second: po.second, Zone: po.zone}
	opt.Header = daylog.Header{Station: station, Day: now.Format("2006-01-02"), Plan: plan}
	if !po.fresh {
		if path, ok := newestLog(base, now); ok {
			opt.Fallback = fallback(env, filepath.Dir(path))
			return goOn(env, filepath.Dir(path), opt)
		}
	}
	dir := filepath.Join(base, now.Format("2006-01-02"))
	for i := 2; exists(dir); i++ { // a second day begun on one date has a folder of its own
		dir = filepath.Join(base, fmt.Sprintf("%s-%d", now.Format("2006-01-02"), i))
	}
	opt.Fallback = fallback(env, dir)
	l, err := daylog.Create(daylog.OS(), dir, opt.Header, env.Clock, opt)
	if err != nil {
		return nil, fail(ExitFailed, "the day log cannot be begun: %v\nchoose a folder that can be written with --log DIR", err)
	}
	c, err := daylog.Read(daylog.OS(), l.Path())
	if err != nil {
		return nil, fail(ExitFailed, "%v", err)
	}
	return &opened{log: l, records: c.Records, header: l.Header()}, nil
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

// logFiles lists the log files in a folder.
func logFiles(dir string) []string {
	names, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		return nil
	}
	sort.Strings(names)
	return names
}

// newestLog is the log to go on with: the last file of the newest day folder,
// if its last event is fresh and the day is not sealed.
func newestLog(base string, now time.Time) (string, bool) {
	entries, err := os.ReadDir(base)
	if err != nil {
		return "", false
	}
	best, bestAt := "", time.Time{}
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		for _, name := range logFiles(filepath.Join(base, e.Name())) {
			c, err := daylog.Read(daylog.OS(), name)
			if err != nil || len(c.Records) == 0 {
				continue
			}
			last := c.Records[len(c.Records)-1]
			if last.Kind == daylog.KindSealed || now.Sub(last.Wall) > goOnFor {
				continue
			}
			if last.Wall.After(bestAt) {
				best, bestAt = name, last.Wall
			}
		}
	}
	return best, best != ""
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
