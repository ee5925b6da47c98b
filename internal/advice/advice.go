// Package advice judges ways out: what a crew could change from here, each with
// its chance that the edge holds, its finish, opening and cost, on the same
// luck, ranked.
package advice

import (
	"context"
	"time"

	"floorpace/internal/day"
)

// Outlook is the forecast from an instant on.
type Outlook struct {
	Facts   int       // the snapshot's facts it rests on
	From    time.Time // the instant it was made for
	OK      bool      // false: Why says what is missing
	Why     string
	Days    int     // days studied
	Edge    float64 // chance that every edge holds
	Buckets float64 // chance that no bucket dies
	Both    float64
	// Finish of the zone (last batch raked) in 10, 50 and 90 of 100 days.
	P10, P50, P90 time.Time
	Ways          []Way // best first; the first entry never is "as now"
}

// Way is one way out.
type Way struct {
	ID      string
	What    string // a few words
	Figure  string // its own figure: "pull 6.0 m", "to joint 3: 14 kits, 21:00"
	Edge    float64
	Both    float64
	P50     time.Time
	Opening time.Time // of the use the plan asks for; zero = no figure
	InTime  bool
	People  int        // more hands than now
	Kits    int        // kits from here to the end it leads to
	Press   *day.Press // the press that records the choice; nil when it is done outside the console
}

// Case is a question made ready from a snapshot; it holds plain values only.
type Case struct{ v *day.Snapshot }

// Ask makes a question of a snapshot; false when there is nothing to forecast.
func Ask(v *day.Snapshot) (Case, bool) { return Case{v}, v != nil && v.Floor != nil }

// Judge studies the case and its ways out. It is safe to call from any
// goroutine; a cancelled ctx gives an Outlook that is not OK.
func (c Case) Judge(ctx context.Context, days int, seed uint64) Outlook {
	return Outlook{Facts: c.v.Facts, From: c.v.Now, Why: "no forecast yet"}
}
