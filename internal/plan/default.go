package plan

import (
	"math"
	"time"

	"floorpace/internal/floor"
)

// Default is a plan with every figure that need not be written. Each carries
// its reason; the plan file may change any of them.
func Default() Plan {
	return Plan{
		OpeningUse:  "full", // the strictest: a plan that means less says so
		StationRoom: floor.Outside,
		Rules: Rules{
			EdgeMargin:   2 * time.Minute,  // common practice, no source: two looks at a watch
			BucketMargin: time.Minute,      // common practice, no source
			Turn:         30 * time.Second, // raker and runner cross back to the row's start; no source
			ReadingEvery: time.Hour,        // ISO 8502-4 practice is to read again when conditions change; hourly is common
			Chance:       0.95,             // one day in twenty is the most a crew can stand; no source
			Loss:         0.06,             // extra for what stays in buckets, on tools, in the trench; common practice, no source
			TempErrorC:   0.5,              // usual stated error of a contact thermometer; no source
			RHError:      0.03,             // usual stated error of a hand hygrometer; no source
			ColdestSlabC: math.NaN(),
			CureSlabC:    math.NaN(),
			// Of 59 times the longest is, on 95 of 100 such days, at least as long as
			// 19 in 20 of all that will come: 1 - 0.95^59 = 0.951 (Wilks, Annals of
			// Mathematical Statistics 12, 1941, from memory). Fewer know no tail.
			OwnTimes: 59,
		},
		Crew: Crew{
			Scrape:    15 * time.Second,
			Reset:     90 * time.Second,
			Load:      5 * time.Second,
			Pour:      30 * time.Second,
			Headway:   5 * time.Second,
			WalkFull:  1.2, // about 236 ft/min; loaded barrows ran 200 ft/min (Gillette and Hill, 1908)
			WalkEmpty: 1.4,
			RakeM2Min: 4,
			RollM2Min: 6,
			Spread: Spread{ // common practice, no source: hands vary more than machines
				Mix: 0.05, Scrape: 0.15, Reset: 0.15, Load: 0.2, Walk: 0.1,
				Pour: 0.15, Rake: 0.12, Roll: 0.12, Broadcast: 0.15,
			},
		},
		Readings: Readings{
			SlabC: math.NaN(), AirC: math.NaN(), Humidity: math.NaN(), KitC: math.NaN(),
			MVER: math.NaN(), SlabRH: math.NaN(), CoolerKitC: math.NaN(), WarmSlabC: math.NaN(),
		},
	}
}

// DefaultZone is a zone with every figure that need not be written: rows as
// deep as one raker reaches, from the same side, which needs the slowest pace
// (model: the pour path), the front advancing along +x.
func DefaultZone() Zone {
	return Zone{
		Zone:      floor.Zone{Station: floor.NoPoint},
		RowDepthM: 0.75, // one rake's reach without a step; common practice, no source
		StartLeft: true,
		Pattern:   SameSide,
	}
}
