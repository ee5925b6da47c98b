package planfile

import (
	"fmt"
	"io/fs"
	"strings"

	"floorpace/internal/plan"
)

// readSheetOf reads the sheet, from under [sheet] or from the file it names.
func (r *reading) readSheetOf(t *table, p *plan.Plan, sheetFile func(string) ([]byte, error)) {
	const mend = `write sheet = "material.toml", a file beside the plan, or the sheet itself under [sheet]`
	v, ok := t.get("sheet")
	if !ok {
		t.missing("sheet", "the plan has no data sheet", mend)
		return
	}
	name, ok := v.(string)
	if !ok {
		if _, ok := v.(map[string]any); !ok {
			t.fault("sheet", "this is "+kindOf(v)+", not a sheet", mend)
			return
		}
		t.child("sheet", func(c *table) { readSheet(c, &p.Sheet) })
		return
	}
	d := r.open(t, "sheet", "sheet", name, sheetFile)
	if d == nil {
		return
	}
	r.sheet = d
	if d.unread {
		return
	}
	c := &table{r: r, d: d, p: d.root, value: d.value, key: "sheet", sys: t.sys, top: true}
	readSheet(c, &p.Sheet)
	c.finish()
}

// open reads the syntax of the file that stands under key of the plan: its sheet
// or its crew file. It gives nil when there is no such file.
func (r *reading) open(t *table, key, what, name string, file func(string) ([]byte, error)) *document {
	if strings.Contains(name, `\`) || !fs.ValidPath(name) || name == t.d.name || len(name) > maxName {
		t.fault(key, fmt.Sprintf("%q is not a file beside the plan", name), "write its name, such as "+key+` = "`+suchFile[key]+`", with / before a name in a folder`)
		return nil
	}
	data, err := file(name)
	if err != nil {
		t.fault(key, fmt.Sprintf("%s %q: %s", what, name, reason(err)), "put the "+what+" beside the plan, or write its right name")
		return nil
	}
	d, ps := readDocument(name, data)
	r.problems = append(r.problems, ps...)
	return d
}

// suchFile names a file of each kind, for messages.
var suchFile = map[string]string{"sheet": "material.toml", crewKey: "crew.toml"}
