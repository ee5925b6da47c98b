// Package worked reads the tables of worked values that tests hold figures
// against: comma-separated files under testdata folders with a header row, notes
// after '#', and on every row the source of its figures. Only tests import it.
package worked

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// Row is one row of a table, by the names in its header.
type Row map[string]string

// Rows reads a table. The test ends when it cannot be read, has no rows, or has
// one without a source.
func Rows(t testing.TB, file string) []Row {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }() // only read
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 2 {
		t.Fatalf("%s has no rows", file)
	}
	rows := make([]Row, len(all)-1)
	for i, cells := range all[1:] {
		rows[i] = Row{}
		for j, name := range all[0] {
			rows[i][name] = cells[j]
		}
		if strings.TrimSpace(rows[i]["source"]) == "" {
			t.Fatalf("%s, row %d has no source; say where its figures come from", file, i+1)
		}
	}
	return rows
}

// Num is a cell as a number. The test ends when it is none.
func (r Row) Num(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("%s of %v: %v", column, r, err)
	}
	return v
}
