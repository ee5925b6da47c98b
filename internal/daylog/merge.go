package daylog

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"
	"time"
)

// Set is a set of log lines by (writer, number). Union is commutative,
// associative and idempotent: in whatever order and however often copies come
// together, the same lines result.
type Set struct {
	lines map[setKey][]Record // versions by their bytes, sorted
	heads map[string]Header   // by writer
}

type setKey struct {
	writer string
	n      int64
}

// NewSet is an empty set.
func NewSet() *Set {
	return &Set{lines: make(map[setKey][]Record), heads: make(map[string]Header)}
}

// Add puts a record in and reports whether it was new. A line carried by a
// KindKept event goes in under its own writer and number instead.
func (s *Set) Add(r Record) bool {
	if inner, ok := r.Kept(); ok {
		return s.Add(inner)
	}
	key := setKey{r.Writer, r.N}
	have := s.lines[key]
	at, found := slices.BinarySearchFunc(have, r, compareBytes)
	if found {
		return false
	}
	s.lines[key] = slices.Insert(slices.Clip(have), at, r)
	return true
}

func compareBytes(a, b Record) int { return bytes.Compare(a.Bytes, b.Bytes) }

// Kept returns the line that a KindKept event carries, verified by its own
// checksum.
func (r Record) Kept() (Record, bool) {
	if r.Kind != KindKept {
		return Record{}, false
	}
	var body keptBody
	if json.Unmarshal(r.Body, &body) != nil || !isWriter(body.ID) {
		return Record{}, false
	}
	inner, err := ParseLine([]byte(body.Line))
	if err != nil || inner.N == 0 || inner.Kind == KindKept {
		return Record{}, false
	}
	inner.Writer = body.ID
	return inner, true
}

// AddContents puts a whole file in. Lines of a file without a readable header
// have no writer and stay out; it returns how many those are.
func (s *Set) AddContents(c *Contents) (out int) {
	if c.Header == nil {
		return len(c.Records)
	}
	if old, ok := s.heads[c.Header.Writer]; !ok || bytes.Compare(c.Header.Bytes, old.Bytes) < 0 {
		s.heads[c.Header.Writer] = *c.Header
	}
	for _, r := range c.Records {
		s.Add(r)
	}
	return 0
}

// Union is a new set of everything in the given ones.
func Union(sets ...*Set) *Set {
	u := NewSet()
	for _, s := range sets {
		for _, versions := range s.lines {
			for _, r := range versions {
				u.Add(r)
			}
		}
		for w, h := range s.heads {
			if old, ok := u.heads[w]; !ok || bytes.Compare(h.Bytes, old.Bytes) < 0 {
				u.heads[w] = h
			}
		}
	}
	return u
}

// Len is the number of events, a fork counted once.
func (s *Set) Len() int { return len(s.lines) }

// Fork is one event that exists in more than one version.
type Fork struct {
	Writer   string
	N        int64
	Versions []Record
}

// Forks are the events with more than one version, in a fixed order.
func (s *Set) Forks() []Fork {
	var forks []Fork
	for key, versions := range s.lines {
		if len(versions) > 1 {
			forks = append(forks, Fork{key.writer, key.n, versions})
		}
	}
	slices.SortFunc(forks, func(a, b Fork) int {
		return cmp.Or(cmp.Compare(a.Writer, b.Writer), cmp.Compare(a.N, b.N))
	})
	return forks
}

// Writers are the writer ids in the set, sorted.
func (s *Set) Writers() []string {
	seen := make(map[string]bool)
	for key := range s.lines {
		seen[key.writer] = true
	}
	for w := range s.heads {
		seen[w] = true
	}
	var ids []string
	for w := range seen {
		ids = append(ids, w)
	}
	slices.Sort(ids)
	return ids
}

// Header is the header of a writer, when one of the files had it.
func (s *Set) Header(writer string) (Header, bool) {
	h, ok := s.heads[writer]
	return h, ok
}

// lack is a writer whose own file is not in the set, and what is known to be
// missing of its events.
type lack struct {
	writer string
	events int // at least; 0 = nobody knows
}

// lacking are the writers that a file goes on from, or whose lines others carry,
// and whose events are not all there.
func (s *Set) lacking() []lack {
	last, have := make(map[string]int64), make(map[string]int64)
	for key, r := range s.lines {
		last[key.writer] = max(last[key.writer], key.n)
		have[key.writer]++
		var kept int64
		if r[0].Kind == KindOpened && r[0].Field("kept", &kept) {
			have[key.writer] += kept // lines of others, which count as theirs
		}
	}
	for _, h := range s.heads {
		if h.From != "" && last[h.From] == 0 {
			last[h.From] = 0
		}
	}
	var out []lack
	for w, n := range last {
		_, whole := s.heads[w] // then its own faults say what is missing
		if !whole && (n == 0 || have[w] < n) {
			out = append(out, lack{w, int(n - have[w])})
		}
	}
	slices.SortFunc(out, func(a, b lack) int { return cmp.Compare(a.writer, b.writer) })
	return out
}

// Records is the set as one list: within a writer by number, a file that goes
// on from another behind it, and across those by wall time, each writer's
// clock corrected by how far it is ahead (offsets may be nil). Of a fork the
// first version by bytes counts.
func (s *Set) Records(ahead map[string]time.Duration) []Record {
	queues := s.queues()
	total := 0
	for _, q := range queues {
		total += len(q)
	}
	out := make([]Record, 0, total)
	for len(queues) > 0 {
		first := 0
		for i := 1; i < len(queues); i++ {
			a, b := queues[i][0], queues[first][0]
			if a.Wall.Add(-ahead[a.Writer]).Before(b.Wall.Add(-ahead[b.Writer])) {
				first = i
			}
		}
		out = append(out, queues[first][0])
		if queues[first] = queues[first][1:]; len(queues[first]) == 0 {
			queues = slices.Delete(queues, first, first+1)
		}
	}
	return out
}

// ofStation are the records of one station in order, those of writers without a
// header included.
func (s *Set) ofStation(station string) []Record {
	return slices.DeleteFunc(s.Records(nil), func(r Record) bool {
		h, ok := s.heads[r.Writer]
		return ok && h.Station != station
	})
}

// queues are the lists that are in order by themselves: one a writer, joined
// where a file goes on from another.
func (s *Set) queues() [][]Record {
	byWriter := make(map[string][]Record)
	for key, versions := range s.lines {
		byWriter[key.writer] = append(byWriter[key.writer], versions[0])
	}
	for _, q := range byWriter {
		slices.SortFunc(q, func(a, b Record) int { return cmp.Compare(a.N, b.N) })
	}
	next, behind := make(map[string][]string), make(map[string]bool)
	writers := s.Writers()
	for _, w := range writers {
		if from := s.heads[w].From; from != "" && from != w && slices.Contains(writers, from) {
			next[from] = append(next[from], w)
			behind[w] = true
		}
	}
	var queues [][]Record
	done := make(map[string]bool)
	var walk func(w string) []Record
	walk = func(w string) []Record {
		if done[w] {
			return nil
		}
		done[w] = true
		q := byWriter[w]
		for _, after := range next[w] {
			q = append(q, walk(after)...)
		}
		return q
	}
	for _, roots := range [2]bool{true, false} { // then rings, which only a forger makes
		for _, w := range writers {
			if behind[w] != roots && !done[w] {
				if q := walk(w); len(q) > 0 {
					queues = append(queues, q)
				}
			}
		}
	}
	return queues
}
