//go:build cgo

package pose

import (
	"fmt"

	"gocv.io/x/gocv"

	"steadfall/video/mat"
)

// A runner is one net, ready to run.
type runner interface {
	// run takes a square's numbers as OpenCV's blobs hold them, one picture of planes of rows, and returns
	// what the outputs hold, until it runs again; nil where the net is not one that this was written for.
	run(blob gocv.Mat) [][]float32
	close()
}

// newRunner makes a net ready that gives those outputs.
func newRunner(runtime string, onnx []byte, outputs []string) (runner, error) {
	if runtime != "" {
		return newSession(runtime, onnx, outputs)
	}
	net, err := gocv.ReadNetFromONNXBytes(onnx)
	if err != nil {
		return nil, fmt.Errorf("OpenCV cannot read it: %w", err)
	}
	return &cvNet{net: net, outputs: outputs}, nil
}

// cvNet is a net that OpenCV runs, four times as slowly as ONNX Runtime does.
type cvNet struct {
	net     gocv.Net
	outputs []string
	last    []gocv.Mat // what the last run gave
}

func (n *cvNet) run(blob gocv.Mat) (out [][]float32) {
	mat.CloseAll(n.last)
	n.net.SetInput(blob, "")
	n.last = n.net.ForwardLayers(n.outputs)
	for _, m := range n.last {
		v, err := m.DataPtrFloat32()
		if err != nil {
			return nil
		}
		out = append(out, v)
	}
	return out
}

func (n *cvNet) close() {
	mat.CloseAll(n.last)
	n.net.Close()
}
