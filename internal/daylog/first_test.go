package daylog_test

import (
	"testing"
	"time"

	"floorpace/internal/daylog"
)

type fixedClock struct{ at *daylog.Reading }

func (c fixedClock) Now() daylog.Reading {
	c.at.Wall = c.at.Wall.Add(time.Second)
	c.at.Mono += time.Second
	c.at.Awake += time.Second
	return *c.at
}

func TestCreateAppendOpen(t *testing.T) {
	dir := t.TempDir()
	clock := fixedClock{&daylog.Reading{Wall: time.Date(2026, 5, 4, 5, 0, 0, 0, time.UTC), Boot: "b1"}}
	h := daylog.Header{Station: "A", Day: "2026-05-04", Plan: []byte(`{"text":"x"}`)}
	l, err := daylog.Create(daylog.OS(), dir+"/2026/day", h, clock, daylog.Options{Install: "i", App: "floorpace test"})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 20 {
		r, tr, err := l.Append("batch.started", map[string]any{"batch": i, "mixer": 2})
		if err != nil || !tr.None() {
			t.Fatal(err, tr)
		}
		if r.N != int64(i)+2 {
			t.Errorf("event %d has number %d", i, r.N)
		}
	}
	path := l.Path()
	if _, _, err := daylog.Open(daylog.OS(), path, clock, daylog.Options{}); err == nil {
		t.Error("opened twice")
	}
	if _, _, err := l.Seal(); err != nil {
		t.Error(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l2, o, err := daylog.Open(daylog.OS(), path, clock, daylog.Options{Install: "i"})
	if err != nil {
		t.Fatal(err)
	}
	defer l2.Close()
	if o.Verdict != daylog.Clean || len(o.Records) != 23 || len(o.Last) != 3 {
		t.Errorf("%+v", o)
	}
}
