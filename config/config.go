// Package config ships the example plans, with their sheets, inside the
// binary. Everything in them is invented.
package config

import "embed"

// Names of the example plans in Files.
const (
	USPlan     = "cellar.toml" // US units, fast urethane, two zones
	MetricPlan = "dock.toml"   // metric, slow epoxy, two rooms
)

// Files holds the example plans and sheets.
//
//go:embed *.toml
var Files embed.FS
