package line

import (
	"context"
	"fmt"
	"time"
)

// DayEnd is what became of one simulated day. Laid is when its last batch is
// raked, after the study's zero; Edges and Buckets say that every edge and every
// bucket kept its margin.
type DayEnd struct {
	Laid           time.Duration
	Edges, Buckets bool
}

// StudyEach is [Study] with what became of each day beside it, in the order of
// the days, for a caller who strings several stretches of a day together. It
// refuses what Study refuses.
func StudyEach(ctx context.Context, cfg Config, start Start, run Run) (Summary, []DayEnd, error) {
	if run.Days < 1 || run.Days > 1<<24 {
		return Summary{}, nil, fmt.Errorf("days: %d; give 1 to %d", run.Days, 1<<24)
	}
	p, err := compile(&cfg, &start)
	if err != nil {
		return Summary{}, nil, err
	}
	days := make([]outcome, run.Days)
	total, err := p.run(ctx, days, run, cfg.Shared != OwnPeople)
	if err != nil {
		return Summary{}, nil, err
	}
	limit := int64(never)
	if cfg.BucketLife > 0 {
		limit = int64(ticks(cfg.BucketLife)) - int64(ticks(cfg.BucketMargin))
	}
	out := make([]DayEnd, len(days))
	for i, d := range days {
		out[i] = DayEnd{
			Laid:    time.Duration(d.laid) * time.Millisecond,
			Edges:   int64(d.worstEdge) <= -p.margin,
			Buckets: int64(d.worstDwell) <= limit,
		}
	}
	return p.summary(&cfg, days, total), out, nil
}
