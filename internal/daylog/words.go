package daylog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// wordsFor says what a file is, for the crew. Line numbers count the header as
// line 1. Where nothing was lost and nothing is to be done it says nothing.
func wordsFor(c *Contents) []string {
	switch c.Verdict {
	case Clean:
		return []string{wordsSound(c)}
	case Separator:
		return nil
	case TornTail:
		return []string{
			"The last press before the stop was not saved.",
			wordsLookAt(c.Records),
		}
	case SuspectLast:
		return []string{
			fmt.Sprintf("One tap may be damaged: line %d, the last one. Keep it or drop it; a copy of its bytes stays beside the log either way.", lastNumber(c.Records)+2),
			wordsLookAt(c.Records),
		}
	case DamagedTail:
		return []string{
			fmt.Sprintf("About %s at the end cannot be read any more. Look for the second copy, or another station's log.", units.Count(tailLines(c.Tail), "saved tap", "saved taps")),
			wordsLookAt(c.Records),
			"The file stays as it is; the log goes on in a new one.",
		}
	case DamagedMiddle:
		return append(wordsFaults(c), "The file stays as it is; the log goes on in a new one.")
	case TornCreation:
		return nil
	case Newer:
		return []string{"This log was written by a newer version of the program. It can be read here, not continued."}
	}
	return []string{"This is not a day log. It was not touched."}
}

func wordsSound(c *Contents) string { return "Day log sound: " + wordsHeld(c) }

// wordsHeld counts what can be read.
func wordsHeld(c *Contents) string {
	last, ok := lastTap(c.Records)
	if !ok {
		return "no taps yet."
	}
	return fmt.Sprintf("%s, last tap %s at %s.",
		units.Count(len(c.Records), "event", "events"), kindWords(last.Kind), last.Wall.Format("15:04:05"))
}

// lastTap is the last event that a hand pressed.
func lastTap(records []Record) (Record, bool) {
	if last := lastOf(records); len(last) > 0 {
		return last[len(last)-1], true
	}
	return Record{}, false
}

// wordsLookAt tells the crew where to pick up.
func wordsLookAt(records []Record) string {
	if r, ok := lastTap(records); ok {
		return fmt.Sprintf("Saved last: %s at %s. Look at what was done after that and press it again if it is missing.",
			kindWords(r.Kind), r.Wall.Format("15:04:05"))
	}
	return "No tap was saved before. Look at what was done and press it again."
}

// wordsFaults puts each fault of a damaged middle into a sentence.
func wordsFaults(c *Contents) []string {
	var words []string
	for i := 0; i < len(c.Faults); i++ {
		f := c.Faults[i]
		if w, n := wordsRun(c.Faults[i:]); n > 0 {
			words = append(words, w)
			i += n - 1
			continue
		}
		switch f.What {
		case FaultMissing:
			if f.From == 0 && f.To == 0 {
				words = append(words, "Line 1, which carries the plan, is damaged; the events behind it can be read.")
				continue
			}
			what := "are damaged or missing"
			if f.From == f.To {
				what = "is damaged or missing"
			}
			words = append(words, fmt.Sprintf("%s %s, the rest is fine.", lines(f.From, f.To), what))
		case FaultOrder:
			words = append(words, fmt.Sprintf("%s stands in the wrong place; nothing of it is lost.", lines(f.From, f.From)))
		case FaultDouble:
			words = append(words, fmt.Sprintf("%s is there twice; it counts once.", lines(f.From, f.From)))
		case FaultFork:
			words = append(words, fmt.Sprintf("%s is there in two versions; both are kept.", lines(f.From, f.From)))
		case FaultChange:
			words = append(words, fmt.Sprintf("%s or the one before was changed after it was written.", lines(f.To, f.To)))
		case FaultTail:
			words = append(words, fmt.Sprintf("The end behind line %d cannot be read (%s).", f.From+1, units.Count(f.Bytes, "byte", "bytes")))
		case FaultBytes:
			words = append(words, fmt.Sprintf("%s that are no part of the log stand before line %d.", units.Count(f.Bytes, "byte", "bytes"), f.To+1))
		}
	}
	return mergeBytes(words, c.Faults)
}

// fewest is how many lines in a row are one sentence: two can still be read by
// themselves.
const fewest = 3

// wordsRun puts lines in a row that are all there twice, or all out of place, into
// one sentence; n is how many faults it takes in, 0 when they are no such row. A
// joined or sorted file has one for every line.
func wordsRun(faults []Fault) (words string, n int) {
	what := map[FaultKind]string{
		FaultOrder:  "stand in the wrong place; nothing of them is lost",
		FaultDouble: "are there twice; they count once",
	}[faults[0].What]
	if what == "" {
		return "", 0
	}
	least, most := faults[0].From, faults[0].From
	for n = 1; n < len(faults) && faults[n].What == faults[0].What; n++ {
		at := faults[n].From
		if at != most+1 && at != least-1 {
			break
		}
		least, most = min(least, at), max(most, at)
	}
	if n < fewest {
		return "", 0
	}
	return fmt.Sprintf("%s %s.", lines(least, most), what), n
}

// mergeBytes drops the sentences about stray bytes where missing lines explain
// them already.
func mergeBytes(words []string, faults []Fault) []string {
	missing := false
	for _, f := range faults {
		missing = missing || f.What == FaultMissing
	}
	if !missing {
		return words
	}
	kept := words[:0]
	for _, w := range words {
		if !strings.Contains(w, "no part of the log") {
			kept = append(kept, w)
		}
	}
	return kept
}

func wordsGoneOn(old, now string, cause error, suspect []Record) []string {
	// What to know comes first: a narrow screen cuts the end.
	why := fmt.Sprintf("its disk reported an error (%s)", reason(cause))
	switch {
	case errors.Is(cause, ErrMoved):
		why = ErrMoved.Error()
	case isFull(cause):
		why = "its disk is full"
	}
	words := []string{fmt.Sprintf("The log goes on in %s: %s.", clean.String(place(old, now)), why)}
	if len(suspect) > 0 {
		var names []string
		for _, r := range suspect {
			names = append(names, kindWords(r.Kind)+" "+r.Wall.Format("15:04:05"))
		}
		words = append(words, "Check the last taps: "+strings.Join(names, ", ")+".")
	}
	return words
}

// wordsElsewhere says where the log of a day goes on when its folder takes nothing.
func wordsElsewhere(path string, cause error) string {
	return fmt.Sprintf("The log goes on in %s: the day's own folder cannot be written (%s).", clean.String(path), reason(cause))
}

// reason is what the system said, without the path and the name of the call, which
// a sentence for the crew has no room for.
func reason(err error) string {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return clean.String(err.Error())
}

// place is the new file by its name, with its folder when that changed.
func place(old, now string) string {
	if filepath.Dir(old) == filepath.Dir(now) {
		return filepath.Base(now)
	}
	return now
}

// wordsLacking says which files of the day are not here.
func wordsLacking(lacks []lack) (words []string) {
	for _, l := range lacks {
		what := "Nobody knows how many events"
		if l.events > 0 {
			what = "At least " + units.Count(l.events, "event", "events")
		}
		words = append(words, fmt.Sprintf("%s of this day stand only in a file that is not here (its name ends in %s.jsonl). Look for it, or for the second copy, and put it beside the others.", what, l.writer[:8]))
	}
	return words
}

func wordsNotSaved(n int, cause error, tried []error) []string {
	words := []string{fmt.Sprintf("NOT SAVED: %s only in memory. Write them down on paper and do not close the program.", units.Count(n, "tap is", "taps are"))}
	words = append(words, "The disk said: "+reason(cause)+".")
	for _, err := range tried {
		words = append(words, "Tried "+clean.String(err.Error())+".")
	}
	return words
}

// byItself are the kinds that a program writes without a hand. Their names are
// part of the wire form and do not change.
var byItself = map[string]bool{
	KindOpened: true, KindSealed: true, KindKept: true,
	KindStepped: true, KindSlept: true, KindStalled: true,
	"call.raised": true, "call.cleared": true, "plan.changed": true,
}

// isTap reports whether events of a kind are pressed: one of those may have to be
// pressed again.
func isTap(kind string) bool { return !byItself[kind] }

// kindWords turns "batch.started" into "batch started".
func kindWords(kind string) string {
	return clean.String(strings.NewReplacer(".", " ", "_", " ").Replace(kind))
}

func lastNumber(records []Record) int64 {
	if len(records) == 0 {
		return 0
	}
	return records[len(records)-1].N
}

// lines names events from..to by their line in the file.
func lines(from, to int64) string {
	if from == to {
		return fmt.Sprintf("Line %d", from+1)
	}
	return fmt.Sprintf("Lines %d–%d", from+1, to+1)
}

// tailLines estimates how many lines unreadable bytes were.
func tailLines(tail []byte) int {
	n := strings.Count(string(tail), "\n")
	return max(1, n, strings.Count(string(tail), string(lineStart)))
}

// SlowSave is from when on a save is called slow: a person notices that the
// mark of a press comes late.
const SlowSave = time.Second

// WordsSlow is the banner for a save that took or is taking long, "" below
// SlowSave.
func WordsSlow(took time.Duration) string {
	if took < SlowSave {
		return ""
	}
	return fmt.Sprintf("The log's disk is slow: %s for one tap. Wait for the mark before the next one.", words(took))
}
