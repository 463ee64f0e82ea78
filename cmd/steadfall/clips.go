package main

import (
	"context"
	"fmt"
	"os"
	"sync"

	"github.com/spf13/cobra"

	"steadfall/internal/models"
	"steadfall/internal/pipeline"
	"steadfall/internal/worker"
)

// reader reads clips as the desk does, in a child process of little memory, without network
// and without writing, so that whatever a clip does to it ends in a sentence. Who waits sees
// how far it is, so it may take its time.
func reader(cmd *cobra.Command) worker.Worker {
	w := worker.Worker{Patient: true}
	if told(cmd, "verbose") {
		w.Moans = cmd.ErrOrStderr()
	}
	if self, err := os.Executable(); err == nil {
		note(cmd, "clips are read by %s in a process of its own", self)
	}
	if dir, err := models.Folder(); err == nil {
		note(cmd, "nets are looked for in %s", dir)
	}
	return w
}

// sayIfSlow says that the nets will run slowly, where they will.
func sayIfSlow(cmd *cobra.Command, placer string) {
	if placer == pipeline.ByHand {
		return
	}
	if err := models.Slow(); err != nil {
		fmt.Fprintf(cmd.ErrOrStderr(), "steadfall: %s\n", err)
	}
}

// runner runs requests: by that reader, or here where all points are in tracks.
func runner(cmd *cobra.Command) pipeline.Runner {
	var once sync.Once
	return func(ctx context.Context, r pipeline.Request) ([]pipeline.Outcome, error) {
		if !r.ReadsClips() {
			return pipeline.Run(ctx, r)
		}
		once.Do(func() { sayIfSlow(cmd, r.Points.Placer) })
		return reader(cmd).Score(ctx, r)
	}
}
