package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"floorpace/config"
	"floorpace/internal/plan"
	"floorpace/internal/planfile"
)

// loaded is a plan with its wire form for the day log.
type loaded struct {
	Plan *plan.Plan
	Wire json.RawMessage
	// Notes are what in the plan file can be poured from but wants a look.
	Notes []planfile.Problem
}

// loadPlan reads a plan file; every problem comes at once, one a line.
func loadPlan(name string) (*loaded, error) {
	p, b, problems := planfile.LoadPath(name)
	if len(problems) > 0 {
		return nil, problemsOf(problems)
	}
	l, err := load(p, b)
	if err == nil {
		l.Notes = planfile.NotesAt(name, b)
	}
	return l, err
}

func load(p *plan.Plan, b planfile.Bundle) (*loaded, error) {
	wire, err := json.Marshal(b)
	if err != nil {
		return nil, fail(ExitUsage, "%v", err)
	}
	return &loaded{Plan: p, Wire: wire}, nil
}

func problemsOf(ps []planfile.Problem) error {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return &exit{ExitUsage, errors.New(strings.Join(lines, "\n"))}
}

// planOf reads the plan that a day log carries.
func planOf(wire json.RawMessage) (*loaded, error) {
	var b planfile.Bundle
	if err := json.Unmarshal(wire, &b); err != nil {
		return nil, fail(ExitDamage, "the log carries no plan that can be read: %v", err)
	}
	p, problems, _ := b.Check()
	if len(problems) > 0 {
		return nil, problemsOf(problems)
	}
	return &loaded{Plan: p, Wire: wire}, nil
}

// demoPlan is the example plan that the demo pours; with steps it wants the steps
// of a batch on record.
func demoPlan(steps bool) (*loaded, error) {
	b, problems := planfile.Read(config.Files, config.USPlan)
	if len(problems) > 0 {
		return nil, problemsOf(problems)
	}
	if steps {
		b.Plan = bytes.Replace(b.Plan, []byte("\n[rules]\n"), []byte("\n[rules]\nrecord_steps = true\n"), 1)
	}
	p, problems, _ := b.Check()
	if len(problems) > 0 {
		return nil, problemsOf(problems)
	}
	return load(p, b)
}
