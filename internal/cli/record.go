package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/day"
	"floorpace/internal/daylog"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/record"
	"floorpace/internal/shift"
)

func newRecord(env *Env) *cobra.Command {
	var dir, size string
	var with []string
	c := &cobra.Command{
		Use:   "record LOG...",
		Short: "Write the day's papers: page, PDF, tables, data",
		Long: `record writes the papers of a day from its log into the current folder: one page
for the browser that prints on A4 and Letter, a PDF, comma-separated files
(batches, readings, calls, yield, holds, zones) and one data document. LOG is a
log file or the folder of a day. All files of the day are gathered: those beside
it, those in the folder a day goes on in when its disk fails, those of --with;
the papers name each with its seal and its damage. Each day gives papers of its
own; those of another log of the same date in that folder are left as they are.
What does not fit together is listed first, all at once; nothing is mended.

Exit 0 nothing was found, 1 the papers are written and say what does not fit,
2 bad input: nothing was written.

` + caution,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return writeRecords(env, args, with, dir, size)
		},
	}
	c.Flags().StringArrayVar(&with, "with", nil, "look for more files of the day here too: a second copy, a stick (may be given again)")
	c.Flags().StringVar(&dir, "out", ".", "folder for the papers")
	c.Flags().StringVar(&size, "paper", "", "paper of the PDF: a4 or letter (default: letter for US units, else a4)")
	return c
}

// pouredDay is a day read back from its log.
type pouredDay struct {
	path   string
	name   string // for papers and columns
	plan   *plan.Plan
	floors []*pace.Zone
	events []day.Event
	log    record.Log
	// invented: a demo's day.
	invented bool
}

// pouredOf reads a day and everything known of its files, by the plan in force
// at its end, as the console went on with it.
func pouredOf(g *gathered) (*pouredDay, error) {
	records, header, ok := dayOf(g.Set)
	if !ok {
		return nil, fail(ExitDamage, "%s: its first line, which carries the plan, cannot be read: look for the second copy", g.path)
	}
	p, err := planOf(planInForce(header.Plan, records))
	if err != nil {
		return nil, err
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		return nil, fail(ExitUsage, "%s: %v", g.path, err)
	}
	d := &pouredDay{path: g.path, name: dayName(g.path, header.Day), plan: p.Plan, floors: floors, events: shift.Events(records), invented: invented(header, records)}
	d.log, err = g.facts(header.Day)
	return d, err
}

// paper builds the record of a day.
func (d *pouredDay) paper(now time.Time) (*record.Paper, error) {
	q, err := record.Build(d.plan, d.floors, d.events, d.log, now)
	if err != nil {
		return nil, fail(ExitUsage, "%s: %v", d.path, err)
	}
	return q, nil
}

// invented tells a demo's day: by who began its log, or, in a log put together from
// copies, by the clock of its sessions.
func invented(h daylog.Header, records []daylog.Record) bool {
	if h.Install == demoInstall {
		return true
	}
	for _, r := range records {
		boot := ""
		if r.Kind == daylog.KindOpened && r.Field("boot", &boot) && boot == demoBoot {
			return true
		}
	}
	return false
}

func writeRecords(env *Env, args, with []string, dir, size string) error {
	paper, err := paperSize(size)
	if err != nil {
		return err
	}
	if st, err := os.Stat(dir); err == nil && !st.IsDir() {
		return fail(ExitUsage, "--out %s: this is a file, not a folder", dir)
	}
	days, err := readAll(env, args, with)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil { // only now: bad input leaves nothing behind
		return fail(ExitFailed, "%v", err)
	}
	var said bytes.Buffer
	found, err := saveDays(env, days, dir, paper, &page{w: &said})
	fmt.Fprintln(&said, caution)
	if _, wrong := env.Out.Write(said.Bytes()); err == nil && wrong != nil { // only now: who stops reading loses no papers
		err = &exit{ExitFailed, wrong}
	}
	if err == nil && found > 0 {
		return &exit{code: ExitNo}
	}
	return err
}

// saveDays writes the papers of each day, says their names and what does not fit,
// and counts that.
func saveDays(env *Env, days []*pouredDay, dir string, paper record.PaperSize, p *page) (found int, err error) {
	taken := map[string]bool{}
	for _, d := range days {
		q, err := d.paper(env.wall())
		if err != nil {
			return found, err
		}
		name := d.name
		for n := 2; taken[name] || !mayWrite(dir, name, &d.log); n++ {
			name = fmt.Sprintf("%s-%d", d.name, n)
		}
		taken[name] = true
		to := paper
		if to == "" {
			to = record.SizeFor(d.plan.Units)
		}
		for i, f := range q.Findings {
			if i == 0 {
				p.say("%s: does not fit together:", d.path)
			}
			p.say("  %s, %s: %s", f.Kind, f.Where, f.What)
		}
		found += len(q.Findings)
		files, err := q.Save(dir, name, to)
		if err != nil {
			return found, fail(ExitFailed, "%v\nchoose a folder that can be written with --out DIR", err)
		}
		for _, f := range files {
			p.say("%s", f)
		}
	}
	return found, nil
}

// mayWrite tells whether papers of a name can be written: there are none yet, or
// they were made from this very log and are made anew. Papers of another log of the
// same date are never written over.
func mayWrite(dir, name string, l *record.Log) bool {
	base := filepath.Join(dir, name)
	free := true
	for _, end := range []string{".html", ".pdf", ".json"} {
		if _, err := os.Lstat(base + end); !errors.Is(err, fs.ErrNotExist) {
			free = false
		}
	}
	if free {
		return true
	}
	data, err := os.ReadFile(base + ".json")
	if err != nil {
		return false
	}
	var was struct {
		Log record.Log `json:"log"`
	}
	if json.Unmarshal(data, &was) != nil {
		return false
	}
	for _, a := range was.Log.Files {
		for _, b := range l.Files {
			if a.Writer.OK() && a.Writer == b.Writer {
				return true
			}
		}
	}
	return false
}

// readAll reads every day before anything is written. Files that belong to one
// day make one day, however many of them are named.
func readAll(env *Env, args, with []string) ([]*pouredDay, error) {
	days, err := gatherDays(env, args, with)
	if err != nil {
		return nil, err
	}
	var out []*pouredDay
	for _, g := range days {
		d, err := pouredOf(g)
		if err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, nil
}

func paperSize(s string) (record.PaperSize, error) {
	switch strings.ToLower(s) {
	case "":
		return "", nil
	case "a4":
		return record.A4, nil
	case "letter":
		return record.Letter, nil
	}
	return "", fail(ExitUsage, "--paper %s: write a4 or letter", s)
}
