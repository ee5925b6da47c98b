package daylog

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
)

// Gathered is one day put together from every file that holds some of it.
type Gathered struct {
	Files []*Contents // in the order they were given
	Set   *Set
	// Missing are the writers that a file goes on from and of which no file was
	// found: the day may have begun there.
	Missing []string
}

// Gather reads logs and sorts them into the days they belong to, in the order in
// which the first file of each was given. Files belong together when they are of
// one writer, when one goes on from the other or carries its lines along, or
// when two stations wrote the same day by the same plan. rest are files of no
// day: foreign ones, never begun ones and those whose first line is damaged and
// in no other copy. Errors of single files are joined; the others are read.
func Gather(fsys FS, paths ...string) (days []*Gathered, rest []*Contents, err error) {
	if len(paths) > MaxFiles {
		return nil, nil, fmt.Errorf("%d files, at most %d are read together: %w", len(paths), MaxFiles, ErrLimit)
	}
	var errs []error
	var headless []*Contents
	for _, path := range paths {
		c, rerr := readRescue(fsys, path)
		switch {
		case rerr != nil:
			errs = append(errs, withPath(path, rerr))
		case c.Header == nil:
			headless = append(headless, c)
		default:
			days = put(days, c)
		}
	}
	for _, c := range headless {
		if !adopted(days, c) {
			rest = append(rest, c)
		}
	}
	for _, g := range days {
		g.Missing = g.missing()
	}
	return days, rest, errors.Join(errs...)
}

// put adds a file to the day it belongs to, and joins the days that it ties
// together.
func put(days []*Gathered, c *Contents) []*Gathered {
	var home *Gathered
	out := days[:0:0]
	for _, g := range days {
		switch {
		case !slices.ContainsFunc(g.Files, func(o *Contents) bool { return tied(c, o) || tied(o, c) }):
			out = append(out, g)
		case home == nil:
			home = g
			out = append(out, g)
		default:
			home.Files, home.Set = append(home.Files, g.Files...), Union(home.Set, g.Set)
		}
	}
	if home == nil {
		home = &Gathered{Set: NewSet()}
		out = append(out, home)
	}
	home.Files = append(home.Files, c)
	home.Set.AddContents(c)
	return out
}

// tied reports whether file a says that it belongs with file b.
func tied(a, b *Contents) bool {
	h, o := a.Header, b.Header
	if h.Writer == o.Writer || h.From == o.Writer {
		return true
	}
	if h.Station != o.Station && h.Day == o.Day && bytes.Equal(h.Plan, o.Plan) {
		return true
	}
	return slices.ContainsFunc(a.Records, func(r Record) bool {
		inner, ok := r.Kept()
		return ok && inner.Writer == o.Writer
	})
}

// adopted gives the lines of a file without a readable header to the day that
// has the header or one of the lines.
func adopted(days []*Gathered, c *Contents) bool {
	for _, g := range days {
		if len(c.Records) > 0 && adopt(g.Set, c) == 0 {
			g.Files = append(g.Files, c)
			return true
		}
	}
	return false
}

func (g *Gathered) missing() []string {
	var out []string
	for _, c := range g.Files {
		if c.Header == nil || c.Header.From == "" || slices.Contains(out, c.Header.From) {
			continue
		}
		if _, ok := g.Set.Header(c.Header.From); !ok {
			out = append(out, c.Header.From)
		}
	}
	return out
}
