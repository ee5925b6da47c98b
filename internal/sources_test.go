package internal_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"
	"testing/fstest"
)

// TestTablesNameTheirSources walks every table under a testdata folder, here and
// at the top of the repository: each row must say where its figures come from.
func TestTablesNameTheirSources(t *testing.T) {
	tables, faults := walkTables(t, os.DirFS(".."))
	for _, f := range faults {
		t.Error(f)
	}
	// Fewer would mean that the walk no longer finds the tables it is there for.
	if tables < 4 {
		t.Errorf("the walk found %d tables; it should find those of units, stats, air and slab at least", tables)
	}
}

// TestSourceWalkCatches shows that the walk fails on what it is there to catch.
func TestSourceWalkCatches(t *testing.T) {
	for _, c := range []struct {
		name, table string
		faults      int
	}{
		{"full", "# note\na,source\n1,NIST\n", 0},
		{"empty cell", "a,source\n1,NIST\n2,\n3,  \n", 2},
		{"no column", "a,b\n1,2\n", 1},
		{"short row", "a,source\n1\n", 1},
		{"no rows", "a,source\n", 1},
		{"nothing", "# only a note\n", 1},
		{"commented row", "a,source\n# 1,\n2,NIST\n", 0},
	} {
		tree := fstest.MapFS{
			"internal/x/testdata/" + c.name + ".csv": {Data: []byte(c.table)},
			"internal/x/elsewhere.csv":               {Data: []byte("a\n1\n")}, // not under testdata: not ours
		}
		tables, faults := walkTables(t, tree)
		if tables != 1 || len(faults) != c.faults {
			t.Errorf("%s: %d tables, faults %q; want 1 table and %d faults", c.name, tables, faults, c.faults)
		}
	}
}

// walkTables checks every *.csv under a testdata folder of the tree and returns
// how many there are and what is wrong with them.
func walkTables(t *testing.T, tree fs.FS) (tables int, faults []string) {
	t.Helper()
	err := fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && name != "." {
			return fs.SkipDir
		}
		under := strings.Contains("/"+path.Dir(name)+"/", "/testdata/")
		if d.IsDir() || !under || path.Ext(name) != ".csv" {
			return nil
		}
		tables++
		f, err := tree.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		for _, fault := range tableFaults(f) {
			faults = append(faults, name+": "+fault)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return tables, faults
}

// tableFaults reads one table, '#' lines being notes, and lists its faults.
func tableFaults(r io.Reader) (faults []string) {
	c := csv.NewReader(r)
	c.Comment = '#'
	c.FieldsPerRecord = -1
	header, err := c.Read()
	if errors.Is(err, io.EOF) {
		return []string{"has no header row"}
	}
	if err != nil {
		return []string{err.Error()}
	}
	column := -1
	for i, h := range header {
		if strings.TrimSpace(h) == "source" {
			column = i
		}
	}
	if column < 0 {
		return []string{"has no source column; add one and fill it in on every row"}
	}
	rows := 0
	for ; ; rows++ {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return append(faults, err.Error())
		}
		line, _ := c.FieldPos(0)
		if column >= len(row) || strings.TrimSpace(row[column]) == "" {
			faults = append(faults, fmt.Sprintf("line %d has no source; say where its figures come from", line))
		}
	}
	if rows == 0 {
		faults = append(faults, "has no rows")
	}
	return faults
}
