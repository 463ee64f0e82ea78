//go:build cgo

package pose

import (
	"errors"
	"fmt"
	"sync"

	ort "github.com/yalue/onnxruntime_go"
	"gocv.io/x/gocv"
)

// session is a net that ONNX Runtime runs, on the thread that asks: a second one is of more use to
// the flow, which runs at the same time, and none may spin while it waits.
type session struct {
	session *ort.DynamicAdvancedSession
	in      *ort.Tensor[float32] // of the size of the first picture; nil before it
	out     []ort.Value          // what the first run gave, filled anew by each
}

// netInput is what the nets call their input.
const netInput = "t0"

// The library is loaded once for a process, and stays: there is one of it.
var (
	loading sync.Mutex
	loaded  string
)

func loadRuntime(library string) error {
	loading.Lock()
	defer loading.Unlock()
	if loaded == library {
		return nil
	}
	if loaded != "" {
		return fmt.Errorf("ONNX Runtime is loaded from %q already", loaded)
	}
	ort.SetSharedLibraryPath(library)
	if err := ort.InitializeEnvironment(ort.WithLogLevelError()); err != nil {
		return fmt.Errorf("ONNX Runtime cannot be loaded from %q: %w", library, err)
	}
	loaded = library
	return nil
}

func newSession(library string, onnx []byte, outputs []string) (runner, error) {
	if err := loadRuntime(library); err != nil {
		return nil, err
	}
	options, err := ort.NewSessionOptions()
	if err != nil {
		return nil, err
	}
	defer options.Destroy()
	if err := errors.Join(options.SetIntraOpNumThreads(1), options.SetInterOpNumThreads(1)); err != nil {
		return nil, err
	}
	s, err := ort.NewDynamicAdvancedSessionWithONNXData(onnx, []string{netInput}, outputs, options)
	if err != nil {
		return nil, err
	}
	return &session{session: s, out: make([]ort.Value, len(outputs))}, nil
}

func (s *session) run(blob gocv.Mat) (out [][]float32) {
	v, err := blob.DataPtrFloat32()
	if err != nil {
		return nil
	}
	if s.in == nil {
		var shape ort.Shape
		for _, n := range blob.Size() {
			shape = append(shape, int64(n))
		}
		if s.in, err = ort.NewEmptyTensor[float32](shape); err != nil {
			return nil
		}
	}
	if len(v) != len(s.in.GetData()) {
		return nil
	}
	copy(s.in.GetData(), v)
	if s.session.Run([]ort.Value{s.in}, s.out) != nil {
		return nil
	}
	for _, o := range s.out {
		t, ok := o.(*ort.Tensor[float32])
		if !ok {
			return nil
		}
		out = append(out, t.GetData())
	}
	return out
}

func (s *session) close() {
	s.session.Destroy()
	if s.in != nil {
		s.in.Destroy()
	}
	for _, o := range s.out {
		if o != nil {
			o.Destroy()
		}
	}
}
