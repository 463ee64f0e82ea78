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
	session *ort.AdvancedSession
	in      *ort.Tensor[float32]
	out     []*ort.Tensor[float32]
}

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
	ins, outs, err := ort.GetInputOutputInfoWithONNXData(onnx)
	if err != nil {
		return nil, err
	}
	if len(ins) != 1 {
		return nil, fmt.Errorf("the net has %d inputs, not one", len(ins))
	}
	shapes := map[string]ort.Shape{}
	for _, o := range outs {
		shapes[o.Name] = o.Dimensions
	}
	s := &session{}
	if s.in, err = ort.NewEmptyTensor[float32](ins[0].Dimensions); err != nil {
		return nil, err
	}
	var values []ort.Value
	for _, name := range outputs {
		t, err := ort.NewEmptyTensor[float32](shapes[name])
		if err != nil {
			s.close()
			return nil, fmt.Errorf("the output %s: %w", name, err)
		}
		s.out, values = append(s.out, t), append(values, t)
	}
	if s.session, err = ort.NewAdvancedSessionWithONNXData(onnx, []string{ins[0].Name}, outputs, []ort.Value{s.in}, values, options); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

func (s *session) run(blob gocv.Mat) (out [][]float32) {
	v, err := blob.DataPtrFloat32()
	if err != nil || len(v) != len(s.in.GetData()) {
		return nil
	}
	copy(s.in.GetData(), v)
	if s.session.Run() != nil {
		return nil
	}
	for _, t := range s.out {
		out = append(out, t.GetData())
	}
	return out
}

func (s *session) close() {
	if s.session != nil {
		s.session.Destroy()
	}
	s.in.Destroy()
	for _, t := range s.out {
		t.Destroy()
	}
}
