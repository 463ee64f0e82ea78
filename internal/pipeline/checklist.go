package pipeline

import (
	"steadfall/internal/bounded"
	"steadfall/scoring"
)

// LoadChecklist reads a bundled checklist by name, or a file when the name ends in
// .yaml or .yml.
func LoadChecklist(name string) (scoring.Checklist, error) {
	return bounded.Named(name, "the checklist", scoring.Load, scoring.Parse)
}
