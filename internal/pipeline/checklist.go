package pipeline

import (
	"fmt"
	"path/filepath"

	"steadfall/internal/bounded"
	"steadfall/scoring"
)

// LoadChecklist reads a bundled checklist by name, or a file when the name ends in
// .yaml or .yml.
func LoadChecklist(name string) (scoring.Checklist, error) {
	if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
		return scoring.Load(name)
	}
	data, err := bounded.ReadFile(name, bounded.MostYAML, "the checklist")
	if err != nil {
		return scoring.Checklist{}, err
	}
	c, err := scoring.Parse(data)
	if err != nil {
		return c, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}
