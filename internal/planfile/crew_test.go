package planfile

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// withCrew is leastPlan with a crew file named and own in the place of its crew.
func withCrew(own string) string {
	return "crew_file = \"crew.toml\"\n" + strings.Replace(leastPlan, "crew = { mixers = 1, runners = 1, buckets = 2 }", own, 1)
}

func crewPlan(own, crew string) fstest.MapFS {
	return fstest.MapFS{"plan.toml": {Data: []byte(withCrew(own))}, "crew.toml": {Data: []byte(crew)}}
}

// A crew file counts as if it stood in the plan; where a key stands in both, the
// plan's own counts and a note at the plan's key says so.
func TestCrewFileStandsInThePlan(t *testing.T) {
	const own = `crew = { mixers = 1, runners = 1, buckets = 2 }`
	for _, c := range []struct{ name, own, crew, same, note string }{
		{"all of it", "", "[crew]\nmixers = 1\nrunners = 1\nbuckets = 2\nrake = 5\n", "[crew]\nmixers = 1\nrunners = 1\nbuckets = 2\nrake = 5\n", ""},
		{"beside the plan's own", own, "[crew]\nrake = 5\nscrape = \"0:21\"\n[crew.spread]\nmix = 4\n", "crew = { mixers = 1, runners = 1, buckets = 2, rake = 5, scrape = \"0:21\", spread = { mix = 4 } }", ""},
		{
			"the plan's own counts", "crew = { mixers = 1, runners = 1, buckets = 2, rake = 7, spread = { mix = 9 } }",
			"[crew]\nrake = 5\nroll = 8\n[crew.spread]\nmix = 4\n", "crew = { mixers = 1, runners = 1, buckets = 2, rake = 7, roll = 8, spread = { mix = 9 } }",
			"plan.toml:6:48: rake, spread.mix stand here and in crew.toml: the plan's own counts; take out here what the crew file is to say\n",
		},
		{"its own units", own, "units = \"us\"\n[crew]\nwalk_full = 3\n", "crew = { mixers = 1, runners = 1, buckets = 2, walk_full = \"3 ft/s\" }", ""},
		{"loss", own, "[rules]\nloss = 9\n", own + "\nrules = { loss = 9 }", ""},
		{
			"the plan's own loss", own + "\nrules = { turn = 1, loss = 4 }", "[rules]\nloss = 9\n", own + "\nrules = { turn = 1, loss = 4 }",
			"plan.toml:7:21: loss stands here and in crew.toml: the plan's own counts; take out here what the crew file is to say\n",
		},
		// 2:30 of mixing: a cycle of 5:00 less 0:40 of scraping leaves 1:50.
		{"cycle over a scrape in the plan", "crew = { mixers = 1, runners = 1, buckets = 2, scrape = \"0:40\" }", "[crew]\ncycle = \"5:00\"\n", "crew = { mixers = 1, runners = 1, buckets = 2, scrape = \"0:40\", reset = \"1:50\" }", ""},
		{
			"reset in the plan over a cycle", "crew = { mixers = 1, runners = 1, buckets = 2, reset = \"0:50\" }", "[crew]\ncycle = \"5:00\"\n", "crew = { mixers = 1, runners = 1, buckets = 2, reset = \"0:50\" }",
			"plan.toml:6:48: reset stands here and in crew.toml: the plan's own counts; take out here what the crew file is to say\n",
		},
		{
			"cycle in the plan over a reset", "crew = { mixers = 1, runners = 1, buckets = 2, cycle = \"4:00\" }", "[crew]\nreset = \"9:00\"\n", "crew = { mixers = 1, runners = 1, buckets = 2, cycle = \"4:00\" }",
			"plan.toml:6:48: cycle stands here and in crew.toml: the plan's own counts; take out here what the crew file is to say\n",
		},
		{"invented", own, "[learned]\ninvented = true\n", own, "crew.toml:2:1: the crew's figures are invented, not timed; learn them from the crew's own days\n"},
	} {
		b, ps := Read(crewPlan(c.own, c.crew), "plan.toml")
		if len(ps) > 0 || b.CrewName != "crew.toml" || string(b.Crew) != c.crew || b.SheetName != "" {
			t.Fatal(c.name, b.CrewName, said(ps))
		}
		got, ps, notes := b.Check()
		if len(ps) > 0 {
			t.Errorf("%s: %s", c.name, said(ps))
			continue
		}
		if said(notes) != c.note {
			t.Errorf("%s: notes\n%swant\n%s", c.name, said(notes), c.note)
		}
		want, ps := Parse("plan.toml", []byte(strings.TrimPrefix(withCrew(c.same), "crew_file = \"crew.toml\"\n")), none)
		if len(ps) > 0 {
			t.Fatal(c.name, said(ps))
		}
		if got.CrewFile == nil || got.CrewFile.Name != "crew.toml" || want.CrewFile != nil {
			t.Errorf("%s: where the crew comes from is not said", c.name)
		}
		got.CrewFile = nil
		differ(t, c.name, got, want)
	}
}

// What the check of the plan finds in a figure of the crew file is said at the
// crew file's line.
func TestCrewFileKeepsItsPlaces(t *testing.T) {
	_, ps := Load(crewPlan("crew = { mixers = 1, buckets = 99 }", "[crew]\nrunners = 9\n\n[crew.spread]\nmix = \"4 %\"\nmiks = 3\n[rules]\n  loss = \"60 %\"\n"), "plan.toml")
	const want = `plan.toml:6:32: 99 buckets cannot pour a floor; write a number from 1 to 40
crew.toml:2:11: 9 runners cannot pour a floor; write a number from 1 to 8
crew.toml:6:1: the key "miks" is not known; take it out; known here: broadcast, load, mix, pour, rake, reset, roll, scrape, walk
crew.toml:8:10: 60 % lies outside 0 % to 50 %; write a share of what the floor takes, such as "6 %"
`
	if said(ps) != want {
		t.Errorf("%s\nwant\n%s", said(ps), want)
	}
	// A cycle too short for the sheet's mixing is said where it stands.
	_, ps = Load(crewPlan("crew = { mixers = 1, runners = 1, buckets = 2 }", "[crew]\ncycle = \"2:40\"\n"), "plan.toml")
	if said(ps) != "crew.toml:2:9: the cycle is shorter than mixing and scraping, 2:45 together; write the time from one start to the next on the same mixer\n" {
		t.Error(said(ps))
	}
}

// A log carries the crew file with the plan, and a log without one is as before.
func TestBundleCarriesTheCrewFile(t *testing.T) {
	b, _ := Read(crewPlan("crew = { mixers = 1, runners = 1, buckets = 2 }", "[crew]\nrake = \"3 m²/min\" # °\n"), "plan.toml")
	data, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	var back Bundle
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	differ(t, "bundle", back, b)
	p, ps, _ := back.Check()
	if len(ps) > 0 || p.Crew.RakeM2Min != 3 {
		t.Fatal(said(ps))
	}
	back.CrewName = "other.toml"
	if p, ps, _ := back.Check(); p != nil || !strings.Contains(said(ps), `crew file "crew.toml": there is no such file`) {
		t.Errorf("a plan without its crew file was taken: %s", said(ps))
	}
	plain := Bundle{PlanName: "p.toml", Plan: []byte(leastPlan)}
	if data, _ = json.Marshal(plain); strings.Contains(string(data), "crew_name") {
		t.Errorf("a plan without a crew file carries one: %s", data)
	}
}

// The crew file that the reference shows is one.
func TestReferenceCrewFile(t *testing.T) {
	text, err := os.ReadFile("../../config/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "## The crew file")
	_, rest, _ = strings.Cut(rest, "```toml\n")
	doc, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("no crew file in the reference")
	}
	p, ps := Load(crewPlan("crew = { mixers = 1, runners = 1, buckets = 2 }", doc), "plan.toml")
	if len(ps) > 0 {
		t.Fatal(said(ps))
	}
	f := p.CrewFile
	if f.Batches != 58 || !f.Invented || len(f.From) != 1 || f.Last.Sub(f.First) != 4*time.Hour+47*time.Minute {
		t.Errorf("%+v", f)
	}
	differ(t, "crew", []float64{p.Crew.Scrape.Seconds(), p.Crew.RakeM2Min, p.Crew.Spread.Mix, p.Rules.Loss}, []float64{19, 5.2, 0.04, 0.074})
}
