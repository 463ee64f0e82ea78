// Command mkdemo writes the demo's placements: the truth of the rendered clips
// plus 2 px of seeded noise, on the frames a coach would choose.
//
//	go run ./internal/synthetic/mkdemo testdata/clips internal/demo/placements
package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"steadfall/internal/synthetic"
)

func main() {
	if err := run(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "mkdemo: error:", err)
		os.Exit(1)
	}
}

func run(from, to string) error {
	clips, err := synthetic.Clips(from)
	if err != nil {
		return err
	}
	for _, c := range clips {
		rng := c.Rand(1)
		frames := append(c.CoachFrames(rng), int(c.Truth.HoldToS*c.FPS)-8)
		pl := c.Placements(frames, 2, rng)
		type placed struct {
			Frame  int                   `json:"frame"`
			Points map[string][2]float64 `json:"points"`
		}
		out := struct {
			View       string   `json:"view"`
			Placements []placed `json:"placements"`
		}{View: string(pl.View)}
		for _, f := range pl.Frames {
			p := placed{f.Frame, map[string][2]float64{}}
			for l, q := range f.Points {
				p.Points[string(l)] = [2]float64{math.Round(q.X*10) / 10, math.Round(q.Y*10) / 10}
			}
			out.Placements = append(out.Placements, p)
		}
		data, err := json.Marshal(out)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to, c.Name+".json"), append(data, '\n'), 0o644); err != nil {
			return err
		}
	}
	return nil
}
