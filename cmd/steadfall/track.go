package main

import (
	"bytes"
	"errors"
	"path/filepath"

	"github.com/spf13/cobra"

	"steadfall/internal/safefile"
	"steadfall/internal/trial"
	"steadfall/kinematics"
	"steadfall/video"
)

func newTrack() *cobra.Command {
	var placements, out string
	cmd := &cobra.Command{
		Use:   "track CLIP --placements P.json -o TRACK.csv",
		Short: "follow placed points through a clip",
		Args:  oneArg("clip"),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case placements == "":
				return errors.New("no points are given; name a placements file with --placements (this version does not place points by itself)")
			case out == "":
				return wrong(cmd, "say where the track goes with -o TRACK.csv, or -o - for standard output")
			case safefile.Same(out, args[0]) || safefile.Same(out, placements):
				return wrong(cmd, "the track would overwrite what it is made from; choose another name for -o")
			}
			pl, err := trial.ReadPlacements(placements)
			if err != nil {
				return err
			}
			tell := teller(cmd.ErrOrStderr())
			stage := "following the points in " + filepath.Base(args[0])
			t, err := video.Track(cmd.Context(), args[0], pl, func(done, total int) { tell(stage, done, total) })
			if err != nil {
				return err
			}
			var b bytes.Buffer
			if err := kinematics.WriteTrack(&b, t); err != nil {
				return err
			}
			if out == "-" {
				_, err = cmd.OutOrStdout().Write(b.Bytes())
				return err
			}
			return safefile.Write(out, b.Bytes())
		},
	}
	cmd.Flags().StringVar(&placements, "placements", "", "points placed on some frames (`P.json`)")
	cmd.Flags().StringVarP(&out, "out", "o", "", "the track (`TRACK.csv`), or - for standard output")
	return cmd
}
