package main

import (
	"io"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/pipeline"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
)

// trackOptions are what a track is asked for.
type trackOptions struct {
	files     pipeline.Files
	points    pipeline.Points
	view, out string
}

func newTrack() *cobra.Command {
	var o trackOptions
	cmd := &cobra.Command{
		Use:   "track CLIP [--placements P.json] -o TRACK.csv",
		Short: "place points in a clip and follow them",
		Long: `Place points in a clip and follow them.

Points are placed automatically. Points placed by hand win over them and improve the
frames around them.`,
		Args: oneArg("clip"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.files.Clip = args[0]
			return o.run(cmd)
		},
	}
	cmd.Flags().StringVar(&o.files.Placements, "placements", "", "points placed by hand on some frames (`P.json`)")
	cmd.Flags().StringVar(&o.view, "view", "", "`VIEW`: front, side, side_left or side_right (default: as seen)")
	pointFlags(cmd.Flags(), &o.points)
	cmd.Flags().StringVarP(&o.out, "out", "o", "", "the track (`TRACK.csv`), or - for standard output")
	return cmd
}

func (o trackOptions) run(cmd *cobra.Command) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	view, err := o.parseView(cmd)
	if err != nil {
		return err
	}
	source, err := o.read()
	if err != nil {
		return err
	}
	if err := beside.ReadClips(); err != nil {
		return err
	}
	sayIfSlow(cmd, o.points.Placer)
	track, said, err := reader(cmd).Track(cmd.Context(), o.points, source, view, teller(cmd))
	if err != nil {
		return err
	}
	warn(cmd, said)
	return writeOut(cmd, o.out, func(w io.Writer) error {
		_, err := w.Write(track)
		return err
	})
}

// check refuses a track that could not be written or would overwrite what it is made from, and
// points that cannot be placed so.
func (o trackOptions) check(cmd *cobra.Command) error {
	switch {
	case o.out == "":
		return wrong(cmd, "say where the track goes with -o TRACK.csv, or -o - for standard output")
	case safefile.Same(o.out, o.files.Clip) || safefile.Same(o.out, o.files.Placements):
		return wrong(cmd, "the track would overwrite what it is made from; choose another name for -o")
	}
	if err := archive.NotOwn(o.out); err != nil {
		return err
	}
	if err := checkPoints(cmd, o.points); err != nil {
		return err
	}
	return checkOut(cmd, "-o", o.out, aTrack)
}

// parseView is the view that was said, or none.
func (o trackOptions) parseView(cmd *cobra.Command) (kinematics.View, error) {
	if o.view == "" || kinematics.View(o.view) == pipeline.Sideways {
		return kinematics.View(o.view), nil
	}
	view, err := kinematics.ParseView(o.view)
	if err != nil {
		return "", wrong(cmd, "--view: %v", err)
	}
	return view, nil
}

// read reads the placements, and finds what else can be known to be wrong before the clip is
// read.
func (o trackOptions) read() (pipeline.Source, error) {
	source, err := o.files.Read(true)
	if err != nil {
		return source, err
	}
	return source, pipeline.Request{Front: source}.Check()
}
