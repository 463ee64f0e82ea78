package main

import (
	"context"
	"testing"

	"steadfall/internal/testkit/desktest"
)

// Each command is killed once while another works on the same archive: nothing that was said
// to be kept is lost. make soak does it 500 times.
func TestKilledCommands(t *testing.T) {
	t.Chdir("../../..") // where the clips are
	err := desktest.WithProgram(func(program, dir string) error {
		return killedCommands(context.Background(), program, dir, len(works), 1)
	})
	if err != nil {
		t.Error(err)
	}
}
