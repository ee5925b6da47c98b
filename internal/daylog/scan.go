package daylog

import (
	"bytes"
	"slices"
)

// Verdict says what a file is; the table in the package doc gives each.
type Verdict int

// The verdicts, from sound to foreign.
const (
	Clean Verdict = iota
	Separator
	TornTail
	SuspectLast
	DamagedTail
	DamagedMiddle
	TornCreation
	Newer
	Foreign
)

var verdictNames = [...]string{
	"clean", "separator", "torn tail", "suspect last", "damaged tail",
	"damaged middle", "torn creation", "newer", "foreign",
}

// String is the verdict's name, also as it stands in KindOpened events.
func (v Verdict) String() string { return verdictNames[v] }

// scanned is what reading a whole file gave.
type scanned struct {
	data    []byte
	header  *Header
	records []Record // verified events by number, doubles dropped
	verdict Verdict
	faults  []Fault
	end     int  // just behind the last verified line, its newline included
	noLF    bool // the last verified line lacks its newline
}

// Fault is one thing wrong in a file. From and To are event numbers.
type Fault struct {
	What  FaultKind `json:"what"`
	From  int64     `json:"from"`            // first number concerned
	To    int64     `json:"to"`              // last number concerned
	Bytes int       `json:"bytes,omitempty"` // bytes that cannot be read
	At    int       `json:"at,omitempty"`    // offset of those bytes
}

// FaultKind names what a Fault is.
type FaultKind string

// The kinds of fault.
const (
	FaultBytes   FaultKind = "unreadable bytes" // between From and To
	FaultMissing FaultKind = "missing lines"    // From..To are not in the file
	FaultOrder   FaultKind = "wrong order"      // From stands out of turn
	FaultDouble  FaultKind = "line twice"       // From is there again
	FaultFork    FaultKind = "two versions"     // From is there with other bytes
	FaultChange  FaultKind = "changed line"     // From or To was changed later
	FaultTail    FaultKind = "end"              // unreadable bytes after From
	FaultSeal    FaultKind = "broken seal"      // From is a seal that does not fit
)

type scanner struct {
	scanned
	d       decoder
	seen    map[int64][]int // number → indexes into records; only once order breaks
	last    int64           // number of the line before; -1 at the start
	sum     uint32          // its checksum
	junk    int             // start of bytes not understood; -1: none
	newline bool            // some separator is wrong
	broken  bool            // records are out of order
	stray   bool            // something does not verify ahead of a verified line

	headers int // how often a header was looked for
	feed    int // the next newline and the next line start, as last found
	start   int
}

// scan reads a whole file and says what it is. It never fails.
func scan(data []byte) scanned {
	s := scanner{scanned: scanned{data: data}, last: -1, junk: -1}
	s.records = make([]Record, 0, len(data)/160)
	s.run()
	s.finish()
	return s.scanned
}

// run goes through the bytes once.
func (s *scanner) run() {
	for at := 0; at < len(s.data); {
		if r, end, ok := s.lineAt(at); ok {
			at = s.accept(r, at, end)
			continue
		}
		if s.junk < 0 {
			s.junk = at
		}
		at = s.nextStart(at)
	}
}

// maxEnds bounds how many places are tried where a line could end. One is
// enough for any line of ours; more only serves a file made to cost time.
const maxEnds = 32

// lineAt reads the line that starts at at: first up to the newline, which is
// right nearly always, then at each end a line could have. It never looks
// further than a line can reach, so that reading stays linear.
func (s *scanner) lineAt(at int) (Record, int, bool) {
	rest := s.data[at:]
	if !bytes.HasPrefix(rest, lineStart) {
		return Record{}, 0, false
	}
	reach, header := MaxKept, false
	if bytes.HasPrefix(rest, headerStart) && s.header == nil && s.headers < maxEnds {
		reach, header = MaxHeader, true
		s.headers++
	}
	end := min(at+reach+1, s.nextFeed(at)) // a line never holds a newline
	if r, ok := s.verified(s.data[at:end]); ok {
		return r, end, true
	}
	if !header { // nor does an event hold the start of a line
		end = min(end, s.nextLine(at))
	}
	rest = s.data[at:end]
	for from, tries := 0, 0; tries < maxEnds; tries++ {
		i := bytes.Index(rest[from:], sumMark)
		if i < 0 {
			break
		}
		from += i + len(sumMark)
		if end := from + 10; end <= len(rest) && rest[end-1] == '}' {
			if r, ok := s.verified(rest[:end]); ok {
				return r, at + end, true
			}
		}
	}
	return Record{}, 0, false
}

func (s *scanner) verified(line []byte) (Record, bool) {
	r, ok := s.d.line(line)
	if !ok || checkObject(line, rulesFor(r)) != nil {
		return r, false
	}
	return r, true
}

// nextStart is where the next line could begin behind at.
func (s *scanner) nextStart(at int) int {
	return min(s.nextFeed(at)+1, s.nextLine(at), len(s.data))
}

// nextFeed is the next newline at or behind at, nextLine the next line start
// behind it. Both remember what they found, so that no byte is looked at again
// and again; at never goes back.
func (s *scanner) nextFeed(at int) int {
	if s.feed < at || s.feed == 0 {
		s.feed = indexFrom(s.data, at, []byte{'\n'})
	}
	return s.feed
}

func (s *scanner) nextLine(at int) int {
	if s.start <= at {
		s.start = indexFrom(s.data, at+1, lineStart)
	}
	return s.start
}

// indexFrom is the offset of what at or behind from, len(data) when it is not
// there.
func indexFrom(data []byte, from int, what []byte) int {
	if i := bytes.Index(data[min(from, len(data)):], what); i >= 0 {
		return from + i
	}
	return len(data)
}

// accept takes a verified line at data[at:end] and returns where the next one
// should begin.
func (s *scanner) accept(r Record, at, end int) int {
	follows := r.N == s.last+1 && (s.last < 0 && r.Prev == 0 || s.last >= 0 && r.Prev == s.sum)
	if s.junk >= 0 {
		s.judgeJunk(at, follows, r.N)
	}
	switch {
	case r.N == 0 && s.header == nil:
		if h, err := parseHeader(r); err == nil {
			s.header = &h
		}
		if !follows {
			s.stray = true
			s.faults = append(s.faults, Fault{What: FaultOrder, From: 0, To: 0})
		}
		s.last, s.sum = 0, r.Sum
	case follows && s.seen[r.N] == nil:
		s.keep(r)
	default:
		s.outOfTurn(r)
	}
	s.end, s.noLF = end, true
	if end < len(s.data) && s.data[end] == '\n' {
		s.end, s.noLF = end+1, false
		return end + 1
	}
	s.newline = true
	return end
}

func (s *scanner) keep(r Record) {
	if s.seen != nil {
		s.seen[r.N] = append(s.seen[r.N], len(s.records))
	}
	s.records = append(s.records, r)
	s.last, s.sum = r.N, r.Sum
}

// judgeJunk decides about the bytes between two verified lines: a spoilt
// newline (two bytes at most, or blanks) when the chain holds, else damage.
func (s *scanner) judgeJunk(at int, follows bool, n int64) {
	gap := s.data[s.junk:at]
	if follows && (len(gap) <= 2 || len(bytes.TrimSpace(gap)) == 0) {
		s.newline = true
	} else {
		s.stray = true
		s.faults = append(s.faults, Fault{What: FaultBytes, From: s.last, To: n, Bytes: len(gap), At: s.junk})
	}
	s.junk = -1
}

// outOfTurn files a verified line that does not continue the one before.
func (s *scanner) outOfTurn(r Record) {
	s.stray = true
	if s.seen == nil {
		s.seen = make(map[int64][]int, len(s.records))
		for i, old := range s.records {
			s.seen[old.N] = append(s.seen[old.N], i)
		}
	}
	if what := s.again(r); what != "" {
		s.faults = append(s.faults, Fault{What: what, From: r.N, To: r.N})
		return
	}
	if r.N <= s.last {
		s.faults = append(s.faults, Fault{What: FaultOrder, From: r.N, To: r.N})
	}
	s.broken = true
	s.keep(r)
}

// again says how a number is there already, "" when it is not, and keeps
// another version.
func (s *scanner) again(r Record) FaultKind {
	if r.N == 0 {
		if bytes.Equal(r.Bytes, s.header.Bytes) {
			return FaultDouble
		}
		return FaultFork
	}
	for _, i := range s.seen[r.N] {
		if bytes.Equal(s.records[i].Bytes, r.Bytes) {
			return FaultDouble
		}
	}
	if s.seen[r.N] == nil {
		return ""
	}
	s.seen[r.N] = append(s.seen[r.N], len(s.records))
	s.records = append(s.records, r)
	s.broken = true
	return FaultFork
}

// finish sorts what came out of order, looks for gaps and changes, and gives
// the verdict.
func (s *scanner) finish() {
	if s.broken {
		slices.SortStableFunc(s.records, func(a, b Record) int { return int(a.N - b.N) })
	}
	if s.stray || s.header == nil && len(s.records) > 0 {
		s.gaps()
	}
	tail := s.data[s.end:]
	switch {
	case s.header != nil && s.header.Version > Version:
		s.verdict = Newer
	case s.header == nil && len(s.records) == 0:
		s.verdict = Foreign
		if looksOurs(s.data) {
			s.verdict = TornCreation
		}
	case s.stray || s.header == nil:
		s.verdict = DamagedMiddle
	default:
		s.verdict = s.judgeTail(tail)
	}
	if len(tail) > 0 && s.verdict >= TornTail && s.verdict <= DamagedMiddle {
		s.faults = append(s.faults, Fault{What: FaultTail, From: s.last, To: s.last, Bytes: len(tail), At: s.end})
	}
}

// gaps walks the sorted events along the chain.
func (s *scanner) gaps() {
	n, sum, known := int64(0), uint32(0), s.header != nil
	if known {
		sum = s.header.Sum
	} else {
		s.faults = append(s.faults, Fault{What: FaultMissing, From: 0, To: 0})
	}
	for _, r := range s.records {
		switch {
		case r.N > n+1:
			s.faults = append(s.faults, Fault{What: FaultMissing, From: n + 1, To: r.N - 1})
		case r.N == n+1 && known && r.Prev != sum:
			s.faults = append(s.faults, Fault{What: FaultChange, From: n, To: r.N})
		}
		n, sum, known = r.N, r.Sum, true
	}
}

// judgeTail classifies what stands behind the last verified line, with a
// header and nothing verified behind it.
func (s *scanner) judgeTail(tail []byte) Verdict {
	blank := len(bytes.TrimSpace(tail)) == 0
	switch {
	case len(tail) == 0 && !s.newline, len(tail) == 0:
		if s.newline {
			return Separator
		}
		return Clean
	case blank, s.noLF && len(tail) == 1: // a spoilt newline at the very end
		return Separator
	}
	limit := MaxLine
	if bytes.Contains(tail[:min(64, len(tail))], []byte(`,"k":"`+KindKept+`"`)) {
		limit = MaxKept
	}
	line, whole := bytes.CutSuffix(tail, []byte("\n"))
	if !whole && len(line) >= tailLen {
		_, _, whole = tailSums(line[len(line)-tailLen:])
	}
	single := len(line) <= limit && bytes.IndexByte(line, '\n') < 0 && !bytes.Contains(line[1:], lineStart)
	switch {
	case !single:
		return DamagedTail
	case whole:
		return SuspectLast
	}
	return TornTail
}

// looksOurs reports whether a file without any verified line was once begun as
// a day log: nothing, zeros that a power cut left, or the start of a header.
func looksOurs(data []byte) bool {
	if len(bytes.Trim(data, "\x00")) == 0 {
		return len(data) <= MaxHeader
	}
	n := min(len(data), len(headerStart))
	return len(data) <= MaxHeader && bytes.Equal(data[:n], headerStart[:n]) ||
		len(data) <= MaxHeader && bytes.Contains(data[:min(len(data), 64)], []byte(`"k":"log","v":`)) ||
		len(data) <= MaxHeader && bytes.HasPrefix(data, []byte(`{"n":0,"k":"`))
}
