package pipeline

import (
	"fmt"
	"path/filepath"

	"steadfall/internal/bounded"
	"steadfall/scoring"
)

// checklist is the one asked for, or the one for that many feet.
func (r Request) checklist(feet int) (scoring.Checklist, error) {
	if r.Checklist == "" {
		return scoring.Load(scoring.Default(feet))
	}
	return LoadChecklist(r.Checklist)
}

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
