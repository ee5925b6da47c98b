package daylog

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// SalvageReport says what Salvage wrote.
type SalvageReport struct {
	Path    string   `json:"path"`
	Events  int      `json:"events"`  // different events saved
	Exact   bool     `json:"exact"`   // the file is the original, line for line
	Missing int      `json:"missing"` // events known to be lost
	Forks   int      `json:"forks"`
	Seals   int      `json:"seals"` // seals that do not fit what stands before them
	Words   []string `json:"words"`
}

// Salvage writes a new sound log to out (which must not exist) from everything
// readable in the given copies; those are never touched, and what is no log or
// cannot be read at all is passed over as long as one can. When the copies give
// all lines of one writer, out is that log, line for line. Otherwise out is a
// new log that carries the lines as they stood, forks in both versions.
func Salvage(fsys FS, clock Clock, opt Options, out string, paths ...string) (SalvageReport, error) {
	out = filepath.Clean(out)
	if _, err := fsys.Lstat(out); err == nil {
		return SalvageReport{}, fmt.Errorf("%s is there already: give a new name", out)
	}
	if len(paths) > MaxFiles {
		return SalvageReport{}, fmt.Errorf("%d files: %w", len(paths), ErrLimit)
	}
	set, lost, orphans := NewSet(), make(map[setKey]bool), 0
	var loose []*Contents
	var passed []error // copies that give nothing
	for _, path := range paths {
		c, err := readRescue(fsys, path)
		if err == nil && c.Verdict == Foreign {
			err = ErrForeign
		}
		if err != nil {
			passed = append(passed, withPath(path, err))
			continue
		}
		if c.Header == nil {
			loose = append(loose, c)
			continue
		}
		set.AddContents(c)
		noteMissing(c, lost)
	}
	for _, c := range loose {
		orphans += adopt(set, c)
	}
	rep := SalvageReport{Path: out, Events: set.Len() + orphans, Forks: len(set.Forks())}
	for key := range lost {
		if _, ok := set.lines[key]; !ok {
			rep.Missing++
		}
	}
	for _, l := range set.lacking() {
		rep.Missing += max(1, l.events)
	}
	if len(passed) == len(paths) {
		return SalvageReport{}, errors.Join(passed...)
	}
	data, exact, err := salvaged(set, clock, opt, loose, orphans)
	if err != nil {
		return SalvageReport{}, errors.Join(append([]error{err}, passed...)...)
	}
	rep.Exact = exact && rep.Missing == 0
	rep.Seals = wrongSeals(out, data)
	if err = mkdirAll(fsys, filepath.Dir(out)); err == nil {
		err = writeWhole(fsys, out, data)
	}
	if err != nil {
		return SalvageReport{}, fmt.Errorf("write %s: %w: %w", out, ErrNotSaved, err)
	}
	rep.Words = wordsSalvage(rep)
	for _, err := range passed {
		rep.Words = append(rep.Words, "Passed over: "+clean.String(err.Error())+".")
	}
	return rep, nil
}

func wordsSalvage(r SalvageReport) []string {
	w := []string{fmt.Sprintf("%s saved.", units.Count(r.Events, "event", "events"))}
	if r.Exact {
		w = append(w, "The log is whole again, line for line.")
	} else {
		w = append(w, "The log could not be put together whole; it carries every line that could be read, as it stood.")
	}
	if r.Missing > 0 {
		w = append(w, fmt.Sprintf("About %s lost in all copies. Look for another copy before you rely on this one.", units.Count(r.Missing, "event is", "events are")))
	}
	if r.Seals > 0 {
		w = append(w, fmt.Sprintf("%s what stands before: it was changed after it was sealed.", units.Count(r.Seals, "seal does not fit", "seals do not fit")))
	}
	if r.Forks > 0 {
		w = append(w, fmt.Sprintf("%s in two versions; both are kept.", units.Count(r.Forks, "event exists", "events exist")))
	}
	return w
}

// wrongSeals counts the seals of a log that do not fit what stands before them.
func wrongSeals(path string, data []byte) (n int) {
	for _, f := range reportFile(contentsOf(path, scan(data))).Faults {
		if f.What == FaultSeal {
			n++
		}
	}
	return n
}

// adopt gives lines of a file without a readable header to the writer that has
// one of them too, or their neighbour in the chain; it returns how many lines
// found none.
func adopt(set *Set, c *Contents) (orphans int) {
	writer := ""
	for _, w := range set.Writers() {
		h, ok := set.Header(w)
		for _, r := range c.Records {
			if r.N == 1 && ok && r.Prev == h.Sum || set.has(w, r) {
				writer = w
			}
		}
	}
	if writer == "" {
		return len(c.Records)
	}
	for _, r := range c.Records {
		r.Writer = writer
		set.Add(r)
	}
	return 0
}

func (s *Set) has(writer string, r Record) bool {
	for _, v := range s.lines[setKey{writer, r.N}] {
		if bytes.Equal(v.Bytes, r.Bytes) {
			return true
		}
	}
	return false
}

// salvaged are the bytes of the new log.
func salvaged(set *Set, clock Clock, opt Options, loose []*Contents, orphans int) ([]byte, bool, error) {
	if orphans == 0 {
		if data, ok := whole(set); ok {
			return data, true, nil
		}
	}
	if set.Len()+orphans == 0 {
		return nil, false, fmt.Errorf("no readable event in any of the copies: %w", ErrLine)
	}
	head, err := salvageHeader(set, opt)
	if err != nil {
		return nil, false, err
	}
	b := &builder{clock: clock}
	if err := b.begin(head); err != nil {
		return nil, false, err
	}
	lines := set.Records(nil)
	for _, r := range lines {
		for _, v := range set.lines[setKey{r.Writer, r.N}] {
			if err := b.keep(v); err != nil {
				return nil, false, err
			}
		}
	}
	if orphans > 0 {
		err = b.keepOrphans(set, loose)
	}
	return b.data, false, err
}

// whole is the original file when the set holds all lines of one writer.
func whole(set *Set) ([]byte, bool) {
	writers := set.Writers()
	if len(writers) != 1 || len(set.Forks()) > 0 {
		return nil, false
	}
	h, ok := set.Header(writers[0])
	if !ok {
		return nil, false
	}
	data, sum := append(bytes.Clone(h.Bytes), '\n'), h.Sum
	for n := int64(1); n <= int64(set.Len()); n++ {
		versions := set.lines[setKey{h.Writer, n}]
		if len(versions) != 1 || versions[0].Prev != sum {
			return nil, false
		}
		sum = versions[0].Sum
		data = append(append(data, versions[0].Bytes...), '\n')
	}
	return data, true
}

// salvageHeader takes station, day and plan from the copies, the first writer
// by id that has a header, else from the options.
func salvageHeader(set *Set, opt Options) (Header, error) {
	head := opt.Header
	for _, w := range set.Writers() {
		if h, ok := set.Header(w); ok {
			head = h
			break
		}
	}
	if head.Station == "" {
		return head, fmt.Errorf("no copy has a readable header, so station, day and plan are unknown: add the second copy or give the plan: %w", ErrStartAgain)
	}
	// The id follows from the lines, so that salvaging the same copies twice
	// gives one log, not two.
	sum := sha256.New()
	for _, r := range set.Records(nil) {
		sum.Write(r.Bytes)
	}
	head.Writer = hex.EncodeToString(sum.Sum(nil)[:16])
	head.From, head.Install, head.App = "", opt.Install, opt.App
	return head, nil
}

// builder puts a log together in memory.
type builder struct {
	clock Clock
	data  []byte
	next  int64
	sum   uint32
}

func (b *builder) begin(h Header) error {
	line, sum, err := encodeHeader(h, b.clock.Now())
	if err != nil {
		return err
	}
	b.data, b.next, b.sum = append(line, '\n'), 1, sum
	at := b.clock.Now()
	body, err := marshal(openedBody{Boot: at.Boot, App: h.App, Found: "salvaged"})
	if err != nil {
		return err
	}
	return b.add(KindOpened, at, body)
}

func (b *builder) add(kind string, at Reading, body []byte) error {
	at.Wall = toMillis(at.Wall)
	line, sum, err := encodeEvent(b.next, kind, at, body, b.sum)
	if err != nil {
		return err
	}
	b.data = append(append(b.data, line...), '\n')
	b.next, b.sum = b.next+1, sum
	return nil
}

func (b *builder) keep(r Record) error {
	body, err := marshal(keptBody{ID: r.Writer, Line: string(r.Bytes)})
	if err != nil {
		return err
	}
	at := b.clock.Now()
	at.Wall = r.Wall
	return b.add(KindKept, at, body)
}

// keepOrphans carries lines whose writer nobody knows under an id made from
// the file's own lines.
func (b *builder) keepOrphans(set *Set, loose []*Contents) error {
	for _, c := range loose {
		if adopt(set, c) == 0 || len(c.Records) == 0 {
			continue
		}
		id := sha256.Sum256(c.Records[0].Bytes)
		for _, r := range c.Records {
			r.Writer = hex.EncodeToString(id[:16])
			if err := b.keep(r); err != nil {
				return err
			}
		}
	}
	return nil
}
