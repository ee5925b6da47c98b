package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/daylog"
	"floorpace/internal/record"
)

// Where a file of a day was found, as the papers say it.
const (
	foundNamed    = "named"
	foundBeside   = "beside the one named"
	foundFallback = "fallback folder"
	foundWith     = "looked in with --with"
)

// source is one file that may hold some of a day.
type source struct {
	path, found string
	args        []int // which arguments it came by
}

// sources lists the files that the arguments name, those beside them, those in
// the folder a day goes on in when its own fails, and those in the folders of
// --with. A file is listed once, by the first way it was found.
func sources(env *Env, args, with []string) ([]source, error) {
	var out []source
	at := map[string]int{}
	add := func(path, found string, arg int) {
		key := path
		if abs, err := filepath.Abs(path); err == nil {
			key = abs
		}
		if i, ok := at[key]; ok {
			if arg >= 0 { // found beside another, and named as well
				out[i].found, out[i].args = found, append(out[i].args, arg)
			}
			return
		}
		at[key] = len(out)
		s := source{path: path, found: found}
		if arg >= 0 {
			s.args = []int{arg}
		}
		out = append(out, s)
	}
	for i, arg := range args {
		dir, err := logFolder(arg)
		if err != nil {
			return nil, err
		}
		if dir != arg {
			add(arg, foundNamed, i)
		}
		for _, name := range logCopies(dir) {
			if dir == arg {
				add(name, foundNamed, i)
			} else {
				add(name, foundBeside, -1)
			}
		}
		for _, spare := range fallback(env, dir) {
			for _, name := range logCopies(spare) {
				add(name, foundFallback, -1)
			}
		}
	}
	for _, arg := range with {
		dir, err := logFolder(arg)
		if err != nil {
			return nil, err
		}
		if dir != arg {
			add(arg, foundWith, -1)
			continue
		}
		for _, name := range logCopies(dir) {
			add(name, foundWith, -1)
		}
	}
	return out, nil
}

// logFolder is the folder of a log, or the folder itself, which must hold one.
func logFolder(arg string) (string, error) {
	if _, err := logPath(arg); err != nil {
		return "", err
	}
	if st, err := os.Stat(arg); err == nil && st.IsDir() {
		return arg, nil
	}
	return filepath.Dir(arg), nil
}

// logCopies lists the log files in a folder, and the further copies that a
// second folder keeps of them.
func logCopies(dir string) []string {
	names := logFiles(dir)
	if more, err := filepath.Glob(filepath.Join(dir, "*.jsonl.copy*")); err == nil {
		sort.Strings(more)
		names = append(names, more...)
	}
	return names
}

// gathered is one day with all its files.
type gathered struct {
	*daylog.Gathered
	path  string            // of the first file that was named
	found map[string]string // by path: where it was found
	left  []source          // beside the day's files, with lines that no file can place
	words []string          // of other files beside it
}

// gatherDays puts together the days that the arguments name, one each even when
// several arguments name its files. Nothing is changed.
func gatherDays(env *Env, args, with []string) ([]*gathered, error) {
	args, with = noHelpers(args), noHelpers(with)
	list, err := sources(env, args, with)
	if err != nil {
		return nil, err
	}
	paths, of := make([]string, len(list)), map[string]source{}
	for i, s := range list {
		paths[i], of[s.path] = s.path, s
	}
	days, rest, readErr := daylog.Gather(daylog.OS(), paths...)
	var out []*gathered
	served := map[int]bool{}
	for _, g := range days {
		d := &gathered{Gathered: g, found: map[string]string{}}
		for _, c := range g.Files {
			s := of[c.Path]
			d.found[c.Path] = s.found
			for _, a := range s.args {
				served[a] = true
			}
			if len(s.args) > 0 && d.path == "" {
				d.path = c.Path
			}
		}
		if d.path != "" {
			out = append(out, d)
		}
	}
	for i, arg := range args {
		if !served[i] {
			return nil, unserved(arg, i, rest, of, readErr)
		}
	}
	for _, c := range rest {
		for _, d := range out {
			switch {
			case filepath.Dir(c.Path) != filepath.Dir(d.path):
			case len(c.Records) > 0:
				d.left = append(d.left, of[c.Path])
			case c.Verdict == daylog.TornCreation:
				d.words = append(d.words, fmt.Sprintf("%s beside it was never begun properly: nothing was saved in it.", filepath.Base(c.Path)))
			default:
				d.words = append(d.words, fmt.Sprintf("%s beside it is not a day log.", filepath.Base(c.Path)))
			}
		}
	}
	return out, nil
}

// unserved says why an argument gives no day.
func unserved(arg string, i int, rest []*daylog.Contents, of map[string]source, readErr error) error {
	for _, c := range rest {
		if slices.Contains(of[c.Path].args, i) && len(c.Records) > 0 {
			return fail(ExitDamage, "%s: its first line, which carries the plan, cannot be read: look for the second copy and name it with --with", c.Path)
		}
	}
	for _, c := range rest {
		if !slices.Contains(of[c.Path].args, i) {
			continue
		}
		if c.Verdict == daylog.TornCreation {
			return fail(ExitUsage, "%s: this log was never begun properly, nothing was saved in it", c.Path)
		}
		return fail(ExitUsage, "%s: this is not a day log", c.Path)
	}
	if info, err := os.Stat(arg); err == nil && !info.IsDir() {
		if _, err := daylog.Read(daylog.OS(), arg); err != nil { // not what is wrong with files beside it
			readErr = err
		}
	}
	if words := fmt.Sprint(readErr); strings.Contains(words, arg) {
		return fail(ExitUsage, "%s", words)
	}
	return fail(ExitUsage, "%s: %v", arg, readErr)
}

// facts says how the files of the day stand, each by itself.
func (d *gathered) facts(date string) (record.Log, error) {
	out := record.Log{Day: date}
	paths := make([]string, len(d.Files))
	for i, c := range d.Files {
		paths[i] = c.Path
	}
	r, err := daylog.Verify(daylog.OS(), paths...)
	if err != nil {
		return out, fail(ExitDamage, "%v", err)
	}
	names := map[string]string{} // writer → file
	for _, f := range r.Files {
		seal := record.Text{S: f.Seal}
		if f.Seal == "" {
			seal = record.Text{NA: "no sealing event that holds is on it"}
		}
		if _, ok := names[f.Writer]; !ok {
			names[f.Writer] = filepath.Base(f.Path)
		}
		sum, err := sumOf(f.Path)
		if err != nil {
			return out, fail(ExitDamage, "%v", err)
		}
		out.Files = append(out.Files, record.LogFile{
			Name: clean.String(filepath.Base(f.Path)), Found: d.found[f.Path], Station: record.Text{S: clean.String(f.Station), NA: noHeader(f.Station)},
			Writer: record.Text{S: clean.String(f.Writer), NA: noHeader(f.Writer)}, App: record.Text{S: clean.String(f.App), NA: noHeader(f.App)},
			Verdict: f.Verdict, Sound: f.Code == daylog.CodeSound, Events: f.Events, Seal: seal, Unsealed: f.Unsealed, SHA256: sum, Words: cleanAll(f.Words),
		})
	}
	out.Words = cleanAll(append(r.Words, d.words...))
	for _, s := range d.left {
		out.Left = append(out.Left, clean.String(filepath.Base(s.path)))
	}
	for _, w := range d.Missing {
		out.NotFound = append(out.NotFound, clean.String(w[:min(8, len(w))]))
	}
	out.Missing, out.Forks, out.Repaired = r.Missing, r.Forks, r.Repaired
	last := map[string]daylog.Record{}
	records := d.Set.Records(nil)
	for i, q := range records {
		before, ok := last[q.Writer]
		last[q.Writer] = q
		if !ok {
			continue
		}
		if q.Wall.Before(before.Wall) {
			out.Backward = append(out.Backward, record.Backward{File: names[q.Writer], Line: q.N + 1, At: q.Wall, Seconds: before.Wall.Sub(q.Wall).Seconds()})
		}
		if by := q.Wall.Sub(before.Wall) - time.Duration(q.Mono-before.Mono)*time.Millisecond; apart(by, q.Wall.Sub(before.Wall)) && q.Wall.After(before.Wall) && !stepTold(records[i:], q.Writer) {
			out.Apart = append(out.Apart, record.Backward{File: names[q.Writer], Line: q.N + 1, At: q.Wall, Seconds: by.Abs().Seconds()})
		}
		if q.Mono < before.Mono && q.Kind != daylog.KindOpened { // a start of the program may begin a new count
			out.Unordered = append(out.Unordered, record.Backward{File: names[q.Writer], Line: q.N + 1, At: q.Wall, Seconds: float64(before.Mono-q.Mono) / 1000})
		}
	}
	return out, nil
}

// apart tells whether two clocks that went on differ by more than setting one
// slowly does: time services move it by at most 0.05 % (RFC 5905, 500 ppm), and
// what is more than a second is a step that the console writes down.
func apart(by, gap time.Duration) bool {
	return by.Abs() > max(5*time.Second, gap.Abs()/1000)
}

// stepTold tells whether a step of a clock, or a new start with a new count, stands
// on a writer's next lines: the console looks at its clocks once a second, and a
// press may come first.
func stepTold(next []daylog.Record, writer string) bool {
	n := 0
	for _, r := range next {
		if r.Writer != writer {
			continue
		}
		if r.Kind == daylog.KindStepped || r.Kind == daylog.KindOpened {
			return true
		}
		if n++; n > 3 {
			break
		}
	}
	return false
}

func noHeader(s string) string {
	if s == "" {
		return "its first line cannot be read"
	}
	return ""
}

func cleanAll(words []string) []string {
	words = slices.Clone(words)
	for i := range words {
		words[i] = clean.String(words[i])
	}
	return words
}

// sumOf is the SHA-256 over a whole file, as anybody can work it out.
func sumOf(path string) (string, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("read the log again: %w", err)
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}

// dayName is the name of a day's papers: its folder when that is named after
// the date (a second day of one date has a folder of its own), else the date.
func dayName(path, date string) string {
	if abs, err := filepath.Abs(path); err == nil {
		if base := filepath.Base(filepath.Dir(abs)); strings.HasPrefix(base, date) {
			return "record-" + base
		}
	}
	return "record-" + date
}
