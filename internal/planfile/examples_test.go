package planfile

import (
	"testing"

	"floorpace/config"
)

func TestExamplesLoad(t *testing.T) {
	for _, name := range []string{config.USPlan, config.MetricPlan} {
		p, ps := Load(config.Files, name)
		for _, q := range ps {
			t.Error(q)
		}
		if p == nil {
			t.Fatalf("%s: no plan", name)
		}
	}
}
