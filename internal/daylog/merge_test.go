package daylog_test

import (
	"fmt"
	"testing"
	"time"

	"floorpace/internal/daylog"
	"floorpace/internal/daylog/logtest"

	"pgregory.net/rapid"
)

// pool are lines of two stations, with forks, to draw sets from.
func pool(t testing.TB) []*daylog.Contents {
	t.Helper()
	var files []*daylog.Contents
	for station, letter := range []string{"A", "B"} {
		for fork := range 2 {
			d, c := logtest.NewDisk(), logtest.NewClock(dawn.Add(time.Duration(station)*time.Minute))
			h := header()
			h.Station = letter
			l, err := daylog.Create(d, folder, h, c, options(uint64(station)+1)) // the fork has the same id
			if err != nil {
				t.Fatal(err)
			}
			for i := range 6 {
				press(t, l, c, i+fork*(i/4)*10)
			}
			files = append(files, read(t, d, l.Path()))
		}
	}
	return files
}

func drawSet(t *rapid.T, name string, files []*daylog.Contents) *daylog.Set {
	s := daylog.NewSet()
	for _, f := range files {
		for _, r := range f.Records {
			if rapid.Bool().Draw(t, name) {
				s.Add(r)
			}
		}
		if rapid.Bool().Draw(t, name+" header") {
			g := *f
			g.Records = nil
			s.AddContents(&g)
		}
	}
	return s
}

// picture is everything a set shows, for comparing.
func picture(s *daylog.Set) string {
	p := lines(s.Records(nil)) + fmt.Sprint(s.Len(), s.Writers())
	for _, f := range s.Forks() {
		p += fmt.Sprintf("\nfork %.8s %d\n%s", f.Writer, f.N, lines(f.Versions))
	}
	for _, w := range s.Writers() {
		h, ok := s.Header(w)
		p += fmt.Sprintf("\n%s %v", h.Bytes, ok)
	}
	return p
}

// TestUnionLaws: commutative, associative, idempotent, on random triples.
func TestUnionLaws(t *testing.T) {
	files := pool(t)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawSet(t, "a", files), drawSet(t, "b", files), drawSet(t, "c", files)
		if picture(daylog.Union(a, b)) != picture(daylog.Union(b, a)) {
			t.Error("a+b is not b+a")
		}
		if picture(daylog.Union(daylog.Union(a, b), c)) != picture(daylog.Union(a, daylog.Union(b, c))) {
			t.Error("(a+b)+c is not a+(b+c)")
		}
		if picture(daylog.Union(a, a)) != picture(a) || picture(daylog.Union(daylog.Union(a, b), b)) != picture(daylog.Union(a, b)) {
			t.Error("adding again changes something")
		}
	})
}

// TestForks are kept, shown, counted once.
func TestForks(t *testing.T) {
	files := pool(t)
	s := daylog.NewSet()
	for _, f := range files {
		s.AddContents(f)
	}
	forks := s.Forks()
	if len(forks) != 4 || s.Len() != 14 || len(s.Records(nil)) != 14 { // two of each station's seven events
		t.Errorf("%d forks, %d events", len(forks), s.Len())
	}
	for _, f := range forks {
		if len(f.Versions) != 2 {
			t.Errorf("fork with %d versions", len(f.Versions))
		}
	}
}

// TestMergeOrder: within a writer by number even when the clock was set back,
// across writers by corrected time.
func TestMergeOrder(t *testing.T) {
	w := []string{fmt.Sprintf("%032x", 1), fmt.Sprintf("%032x", 2)}
	s := daylog.NewSet()
	add := func(writer string, n int64, second int) {
		s.Add(daylog.Record{Writer: writer, N: n, Wall: dawn.Add(time.Duration(second) * time.Second), Bytes: fmt.Appendf(nil, "%s %d", writer, n)})
	}
	add(w[0], 1, 10)
	add(w[0], 2, 5) // set back
	add(w[0], 3, 20)
	add(w[1], 1, 112) // 100 s ahead: truly 12
	add(w[1], 2, 104) // truly 4, but behind its own number 1
	var got string
	for _, r := range s.Records(map[string]time.Duration{w[1]: 100 * time.Second}) {
		got += fmt.Sprintf("%s%d ", r.Writer[31:], r.N)
	}
	if want := "11 12 21 22 13 "; got != want {
		t.Errorf("order %s, want %s", got, want)
	}
}
