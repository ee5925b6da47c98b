package daylog

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// Exit codes of a Report, for the command that prints it.
const (
	CodeSound  = 0
	CodeMended = 1 // an unfinished end, cut before or still to be cut; nothing confirmed is missing
	CodeDamage = 3
)

// Report is what Verify found; it marshals to JSON.
type Report struct {
	Code     int          `json:"code"`
	Files    []FileReport `json:"files"`
	Events   int          `json:"events"`   // different events in all files together
	Forks    int          `json:"forks"`    // events with two versions
	Repaired int          `json:"repaired"` // events missing in one file and found in another
	Missing  int          `json:"missing"`  // events known to be lost in all files
	Words    []string     `json:"words"`
}

// FileReport is what one file holds.
type FileReport struct {
	Path     string     `json:"path"`
	Code     int        `json:"code"`
	Verdict  string     `json:"verdict"`
	Station  string     `json:"station,omitempty"`
	Day      string     `json:"day,omitempty"`
	Writer   string     `json:"writer,omitempty"`
	App      string     `json:"app,omitempty"`
	Events   int        `json:"events"`
	First    *time.Time `json:"first,omitempty"`
	Last     *time.Time `json:"last,omitempty"`
	Kept     int        `json:"kept,omitempty"`   // lines of other files carried along
	Mended   int        `json:"mended,omitempty"` // unfinished ends cut in earlier sessions
	Seal     string     `json:"seal,omitempty"`   // first 12 hex of the last seal that holds
	Unsealed int        `json:"unsealed"`         // events behind that seal
	Faults   []Fault    `json:"faults,omitempty"`
	Words    []string   `json:"words"`
}

// Verify reads logs and says in plain words what they hold, what is damaged
// and what can be saved. It changes nothing. An error is about a file that
// cannot be read at all; the report covers the others.
func Verify(fsys FS, paths ...string) (Report, error) {
	if len(paths) > MaxFiles {
		return Report{}, fmt.Errorf("%d files, at most %d are checked together: %w", len(paths), MaxFiles, ErrLimit)
	}
	rep := Report{Files: []FileReport{}, Words: []string{}}
	var errs []error
	set, lost := NewSet(), make(map[setKey]bool)
	for _, path := range paths {
		c, err := readRescue(fsys, path)
		if err != nil {
			errs = append(errs, withPath(path, err))
			rep.Code = CodeDamage
			continue
		}
		f := reportFile(c)
		rep.Files = append(rep.Files, f)
		rep.Code = max(rep.Code, f.Code)
		set.AddContents(c)
		noteMissing(c, lost)
	}
	rep.Events, rep.Forks = set.Len(), len(set.Forks())
	for key := range lost {
		if _, ok := set.lines[key]; ok {
			rep.Repaired++
		} else {
			rep.Missing++
		}
	}
	lacks := set.lacking()
	for _, l := range lacks {
		rep.Missing += max(1, l.events)
	}
	if rep.Forks > 0 || len(lacks) > 0 {
		rep.Code = CodeDamage
	}
	rep.Words = append(wordsReport(rep), wordsLacking(lacks)...)
	return rep, errors.Join(errs...)
}

// noteMissing notes the events that a file once had: those between its lines and,
// where its end cannot be read, about as many behind the last as stood there.
func noteMissing(c *Contents, lost map[setKey]bool) {
	if c.Header == nil {
		return
	}
	if c.Verdict == DamagedTail || c.Verdict == SuspectLast {
		last := lastNumber(c.Records)
		for n := range int64(tailLines(c.Tail)) {
			lost[setKey{c.Header.Writer, last + 1 + n}] = true
		}
	}
	for _, f := range c.Faults {
		// A damaged number cannot name more lines than a file can hold.
		for n := max(1, f.From); f.What == FaultMissing && n <= f.To && n < f.From+MaxFile/64; n++ {
			lost[setKey{c.Header.Writer, n}] = true
		}
	}
}

// withPath puts the file before an error that does not name it.
func withPath(path string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such log (%w)", path, fs.ErrNotExist)
	}
	if strings.Contains(err.Error(), path) {
		return err
	}
	return fmt.Errorf("%s: %w", path, err)
}

func reportFile(c *Contents) FileReport {
	f := FileReport{Path: c.Path, Verdict: c.Verdict.String(), Events: len(c.Records), Faults: c.Faults}
	if h := c.Header; h != nil {
		f.Station, f.Day, f.Writer, f.App = h.Station, h.Day, h.Writer, clean.String(h.App)
	}
	if n := len(c.Records); n > 0 {
		f.First, f.Last = &c.Records[0].Wall, &c.Records[n-1].Wall
	}
	sealed := int64(0)
	for i, r := range c.Records {
		switch r.Kind {
		case KindKept:
			f.Kept++
		case KindOpened:
			var found string
			if r.Field("found", &found) && (found == TornTail.String() || found == SuspectLast.String()) {
				f.Mended++
			}
		case KindSealed:
			mark, ok := checkSeal(c, i)
			if !ok {
				f.Faults = append(f.Faults, Fault{What: FaultSeal, From: r.N, To: r.N})
				f.Code = CodeDamage
				continue
			}
			f.Seal, sealed = mark.Short, r.N
		}
	}
	if n := len(c.Records); n > 0 {
		f.Unsealed = int(c.Records[n-1].N - sealed)
	}
	f.Code = max(f.Code, codeOf(c.Verdict))
	if c.Unread > 0 || lostWhole(c) {
		f.Code = CodeDamage
	}
	if f.Mended > 0 {
		f.Code = max(f.Code, CodeMended)
	}
	f.Words = wordsFile(c, f)
	return f
}

// checkSeal works the seal at record i out again.
func checkSeal(c *Contents, i int) (SealMark, bool) {
	var body sealBody
	if c.Header == nil || json.Unmarshal(c.Records[i].Body, &body) != nil {
		return SealMark{}, false
	}
	mark := sealOf(*c.Header, c.Records[:i])
	return mark, mark.Count == body.Count && mark.SHA256 == body.Sum
}

func codeOf(v Verdict) int {
	switch v {
	case Clean:
		return CodeSound
	case Separator, TornTail, TornCreation:
		return CodeMended
	}
	return CodeDamage
}

// lostWhole reports zeros in the place of a log: a log is put at its name only once
// all of it is on disk, so its disk has lost it since.
func lostWhole(c *Contents) bool {
	return c.Verdict == TornCreation && len(c.Tail) > 0 && len(bytes.Trim(c.Tail, "\x00")) == 0
}

func wordsFile(c *Contents, f FileReport) []string {
	var w []string
	if c.Unread > 0 {
		w = append(w, fmt.Sprintf("%s of it cannot be read from the disk. Copy what is on that disk elsewhere before anything else.", units.Count(c.Unread, "byte", "bytes")))
	}
	switch c.Verdict {
	case Foreign:
		return append(w, "This is not a day log.")
	case TornCreation:
		if lostWhole(c) {
			return append(w, fmt.Sprintf("Nothing but zeros, %s: what was saved here, its disk has lost. Look for the second copy.", units.Count(len(c.Tail), "byte", "bytes")))
		}
		return []string{"A log that was never begun properly: nothing was saved in it, nothing is lost."}
	case Newer:
		w = append(w, "Written by a newer version of the program: readable here, not to be continued.")
	case Clean:
		if slices.ContainsFunc(f.Faults, func(x Fault) bool { return x.What == FaultSeal }) {
			w = append(w, "Readable: "+wordsHeld(c))
		} else {
			w = append(w, wordsSound(c))
		}
	case Separator:
		w = append(w, wordsSound(c), "Only newlines are wrong; the next start mends them.")
	case TornTail:
		w = append(w, "Readable: "+wordsHeld(c), fmt.Sprintf("Behind it %s of a line that was never confirmed; the next start copies them aside and cuts them.", units.Count(len(c.Tail), "byte", "bytes")))
	case SuspectLast:
		w = append(w, "Readable: "+wordsHeld(c), fmt.Sprintf("Line %d, the last one, may be damaged; the next start asks whether to keep it.", lastNumber(c.Records)+2))
	case DamagedTail:
		w = append(w, "Readable: "+wordsHeld(c), fmt.Sprintf("About %s at the end cannot be read any more. Look for the second copy, or another station's log, and run salvage on both.", units.Count(tailLines(c.Tail), "saved event", "saved events")))
	case DamagedMiddle:
		w = append(w, wordsFaults(c)...)
		how := "run salvage, with every copy there is"
		if c.Header == nil {
			how = "run salvage together with a copy whose first line can be read, for the plan stands there"
		}
		w = append(w, fmt.Sprintf("%s can be saved: %s.", units.Count(len(c.Records), "event", "events"), how))
	}
	if f.Mended > 0 {
		w = append(w, fmt.Sprintf("%s in earlier sessions; the bytes lie in files beside the log.", units.Count(f.Mended, "unfinished end was cut", "unfinished ends were cut")))
	}
	for _, fault := range f.Faults {
		if fault.What == FaultSeal {
			w = append(w, fmt.Sprintf("The seal in line %d does not fit what stands before it.", fault.From+1))
		}
	}
	if f.Seal != "" {
		w = append(w, fmt.Sprintf("Sealed: %s; %s behind the seal. Compare it with the printed record.", f.Seal, units.Count(f.Unsealed, "event", "events")))
	}
	return w
}

func wordsReport(r Report) []string {
	if len(r.Files) < 2 {
		return nil
	}
	w := []string{fmt.Sprintf("%d files hold %s together.", len(r.Files), units.Count(r.Events, "different event", "different events"))}
	if r.Repaired > 0 {
		w = append(w, fmt.Sprintf("%s missing in one file and there in another: salvage puts them together.", units.Count(r.Repaired, "event is", "events are")))
	}
	if r.Missing > 0 {
		w = append(w, fmt.Sprintf("%s missing in all of them.", units.Count(r.Missing, "event is", "events are")))
	}
	if r.Forks > 0 {
		w = append(w, fmt.Sprintf("%s in two versions; both are kept.", units.Count(r.Forks, "event exists", "events exist")))
	}
	return w
}
