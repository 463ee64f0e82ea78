package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"steadfall/internal/pipeline"
	"steadfall/kinematics"
)

func taskNames() string {
	var s []string
	for _, t := range kinematics.Tasks {
		s = append(s, string(t))
	}
	return strings.Join(s, ", ")
}

func parseLimb(s string) (kinematics.Side, error) {
	switch limb := kinematics.Side(s); limb {
	case kinematics.Left, kinematics.Right, kinematics.Both:
		return limb, nil
	}
	return "", fmt.Errorf("--limb must be both, left or right, not %q", s)
}

// pointFlags are the flags that say how points are placed.
func pointFlags(f *pflag.FlagSet, p *pipeline.Points) {
	f.StringVar(&p.Placer, "placer", pipeline.Placers[0], "`NET` that places points: "+strings.Join(pipeline.Placers, ", ")+" (only points placed by hand)")
	f.IntVar(&p.Person, "person", 0, "measure the `N`th person, from the left of the picture (default: the one who lands)")
	f.BoolVar(&p.Mirrored, "mirrored", false, "the clips are mirror images, as selfie cameras make them")
	f.BoolVar(&p.AsGiven, "as-given", false, "take the views as given, whatever is seen in the clips")
}

func checkPoints(cmd *cobra.Command, p pipeline.Points) error {
	if !slices.Contains(pipeline.Placers, p.Placer) {
		return wrong(cmd, "--placer must be %s, not %q", strings.Join(pipeline.Placers, ", "), p.Placer)
	}
	if cmd.Flags().Changed("person") && p.Person < 1 {
		return wrong(cmd, "--person counts from 1")
	}
	return nil
}

// squareFlag is the flag that says how squarely the front camera stood.
func squareFlag(f *pflag.FlagSet, deg *float64) {
	numberFlag(f, deg, "square-deg", 0.1, 20, "the front camera was set square to a line taped on the floor that the athlete faces along, to within `N` degrees; not given, its yaw is taken to be known to 5 degrees only")
}

// pictureFlag is the flag that says how large the pictures were that tracks come from.
func pictureFlag(f *pflag.FlagSet, size *string) {
	f.StringVar(size, "picture", "", "size of the pictures that tracks were made from, `WxH` in pixels; tells how far beside the middle the athlete landed")
}
