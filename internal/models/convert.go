package models

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
)

// The operations the nets are made of, by their number in the schema.
const (
	opAdd          = 0
	opConv         = 3
	opDepthwise    = 4
	opDepthToSpace = 5
	opDequantize   = 6
	opLogistic     = 14
	opMaxPool      = 17
	opReshape      = 22
	opResize       = 23
	opPad          = 34
	opDensify      = 124
)

// array is a constant of the net; ints are kept as floats, which hold them exactly.
type array struct {
	shape []int
	v     []float32
}

// source is a TensorFlow Lite net: its tensors and, in order, its operations.
type source struct {
	ops    []operation
	names  []string
	shapes [][]int
	consts map[int]array
	input  int
}

type operation struct {
	code    int
	in      []int // tensor numbers; −1 for an input left out
	out     int
	options table // of the operation
}

// readTFLite reads a float net.
func readTFLite(b []byte) (source, error) {
	m := root(b)
	buffers, graph := m.tables(4), m.tables(2)[0]
	var codes []int
	for _, c := range m.tables(1) {
		codes = append(codes, max(c.byteField(0), c.intField(3, 0)))
	}
	s := source{consts: map[int]array{}, input: graph.ints(1)[0]}
	for i, t := range graph.tables(0) {
		s.names, s.shapes = append(s.names, string(t.bytes(3))), append(s.shapes, t.ints(0))
		raw := buffers[t.intField(2, 0)].bytes(0)
		if len(raw) == 0 {
			continue
		}
		v, err := numbers(raw, t.byteField(1))
		if err != nil {
			return s, fmt.Errorf("constant %s: %w", s.names[i], err)
		}
		if sp, ok := t.child(6); ok && len(v) != size(s.shapes[i]) {
			v = dense(sp, s.shapes[i], v)
		}
		s.consts[i] = array{s.shapes[i], v}
	}
	for _, o := range graph.tables(3) {
		options, _ := o.child(4)
		s.ops = append(s.ops, operation{codes[o.intField(0, 0)], o.ints(1), o.ints(2)[0], options})
	}
	return s, nil
}

// numbers reads constants of type FLOAT32 (0), FLOAT16 (1) or INT32 (2).
func numbers(raw []byte, kind int) ([]float32, error) {
	var out []float32
	switch kind {
	case 0:
		for ; len(raw) > 0; raw = raw[4:] {
			out = append(out, math.Float32frombits(binary.LittleEndian.Uint32(raw)))
		}
	case 1:
		for ; len(raw) > 0; raw = raw[2:] {
			out = append(out, half(binary.LittleEndian.Uint16(raw)))
		}
	case 2:
		for ; len(raw) > 0; raw = raw[4:] {
			out = append(out, float32(int32(binary.LittleEndian.Uint32(raw))))
		}
	default:
		return nil, fmt.Errorf("has the type %d, which this converter does not know", kind)
	}
	return out, nil
}

func size(shape []int) int {
	n := 1
	for _, d := range shape {
		n *= d
	}
	return n
}

// dense unpacks a sparse constant: its dimensions are traversed in a stated order,
// each either counted through or listed by index, the last ones being blocks of the
// earlier (SparsityParameters of the schema).
func dense(sp table, shape []int, packed []float32) []float32 {
	order, blockOf, dims := sp.ints(0), sp.ints(1), sp.tables(2)
	block := make([]int, len(shape)) // size of a block along each dimension
	for d := range block {
		block[d] = 1
	}
	for k, d := range blockOf {
		block[d] = dims[slices.Index(order, len(shape)+k)].intField(1, 0)
	}
	out, next := make([]float32, size(shape)), 0
	at := make([]int, len(order))
	var walk func(level, before int)
	walk = func(level, before int) {
		if level == len(order) {
			place := make([]int, len(shape))
			for k, d := range order {
				if d < len(shape) {
					place[d] += at[k] * block[d]
				} else {
					place[blockOf[d-len(shape)]] += at[k]
				}
			}
			out[offset(shape, place)] = packed[next]
			next++
			return
		}
		if d := dims[level]; d.byteField(0) == 0 { // dense
			n := d.intField(1, 0)
			for k := range n {
				at[level] = k
				walk(level+1, before*n+k)
			}
		} else {
			from, index := d.indices(2), d.indices(4)
			for k := from[before]; k < from[before+1]; k++ {
				at[level] = index[k]
				walk(level+1, k)
			}
		}
	}
	walk(0, 0)
	return out
}

func offset(shape, place []int) int {
	n := 0
	for d, p := range place {
		n = n*shape[d] + p
	}
	return n
}

// transposed reorders the dimensions of a: dimension d of the result is order[d] of a.
func (a array) transposed(order ...int) array {
	out := array{make([]int, len(order)), make([]float32, len(a.v))}
	for d, o := range order {
		out.shape[d] = a.shape[o]
	}
	from, to := make([]int, len(order)), make([]int, len(order))
	for n := range out.v {
		rest := n
		for d := len(order) - 1; d >= 0; d-- {
			to[d], rest = rest%out.shape[d], rest/out.shape[d]
			from[order[d]] = to[d]
		}
		out.v[n] = a.v[offset(a.shape, from)]
	}
	return out
}

// sink is the ONNX net being written.
type sink struct {
	src    source
	nodes  message
	consts message
	pads   map[int]padded // spatial pads, folded into the convolutions that read them

	forOpenCV bool
}

type padded struct {
	from int
	by   [4]int // top, left, bottom, right
}

// convert turns a TensorFlow Lite net into an ONNX net (opset 11, NCHW) that gives the
// tensors of the given numbers, in their order. Tensors are called "t" and their number.
// forOpenCV gives a Clip its limits as attributes, as opset 6 did and OpenCV 4.6 wants.
// It panics on bytes that are no such net: only files whose sum was checked are converted.
func convert(tflite []byte, want []int, forOpenCV bool) ([]byte, error) {
	src, err := readTFLite(tflite)
	if err != nil {
		return nil, err
	}
	k := &sink{src: src, pads: map[int]padded{}, forOpenCV: forOpenCV}
	if !forOpenCV {
		k.consts = append(tensor(least, nil, []float32{0}), tensor(most, nil, []float32{6})...)
	}
	needed := src.needed(want)
	for _, o := range src.ops {
		if !needed[o.out] {
			continue
		}
		if err := k.add(o); err != nil {
			return nil, fmt.Errorf("tensor %s: %w", src.names[o.out], err)
		}
	}
	graph := slices.Clone(k.nodes)
	graph.text(2, "g")
	graph = append(graph, k.consts...)
	graph = append(graph, valueInfo(11, name(src.input), planes(src.shapes[src.input]))...)
	for _, w := range want {
		graph = append(graph, valueInfo(12, name(w), planes(src.shapes[w]))...)
	}
	var opset, model message
	opset.text(1, "")
	opset.num(2, 11)
	model.num(1, 6)
	model.text(2, "steadfall")
	model.bytes(7, graph)
	model.bytes(8, opset)
	return model, nil
}

// needed is the tensors that the wanted ones are made from.
func (s source) needed(want []int) map[int]bool {
	by := map[int]operation{}
	for _, o := range s.ops {
		by[o.out] = o
	}
	out := map[int]bool{}
	for todo := slices.Clone(want); len(todo) > 0; {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if o, ok := by[i]; ok && !out[i] {
			out[i] = true
			todo = append(todo, o.in...)
		}
	}
	return out
}

func name(tensor int) string { return fmt.Sprintf("t%d", tensor) }

// planes is a shape in the order batch, channels, rows, columns.
func planes(shape []int) []int {
	if len(shape) != 4 {
		return append([]int{1}, shape[1:]...)
	}
	return []int{1, shape[3], shape[1], shape[2]}
}

func (k *sink) emit(op, name string, inputs []string, attrs ...[]byte) {
	k.nodes = append(k.nodes, node(op, name, inputs, attrs...)...)
}

func (k *sink) add(o operation) error {
	n, in := name(o.out), o.in
	c := k.src.consts
	switch o.code {
	case opDensify, opDequantize:
		c[o.out] = c[in[0]]
	case opConv:
		return k.conv(o, false)
	case opDepthwise:
		return k.conv(o, true)
	case opPad:
		k.pad(o)
	case opAdd:
		return k.activated("Add", n, []string{name(in[0]), name(in[1])}, o.options.byteField(0))
	case opMaxPool:
		k.emit("MaxPool", n, []string{name(in[0])},
			intsAttr("kernel_shape", o.options.intField(4, 0), o.options.intField(3, 0)),
			intsAttr("strides", o.options.intField(2, 0), o.options.intField(1, 0)))
	case opResize:
		return k.resize(o)
	case opLogistic:
		k.emit("Sigmoid", n, []string{name(in[0])})
	case opDepthToSpace:
		k.emit("DepthToSpace", n, []string{name(in[0])}, intAttr("blocksize", o.options.intField(0, 0)), textAttr("mode", "DCR"))
	case opReshape:
		shape := k.src.shapes[in[0]]
		if shape[1] != 1 || shape[2] != 1 {
			return fmt.Errorf("a reshape of %v would need a transpose", shape)
		}
		k.consts = append(k.consts, longTensor(n+"h", 1, shape[3])...)
		k.emit("Reshape", n, []string{name(in[0]), n + "h"})
	default:
		return fmt.Errorf("the operation %d is not known to this converter", o.code)
	}
	return nil
}

// least and most are the limits of a ReLU6, as constants of the net.
const (
	least = "least"
	most  = "most"
)

// activated emits an operation and the activation fused with it: none, ReLU or
// ReLU6.
func (k *sink) activated(op, n string, inputs []string, act int, attrs ...[]byte) error {
	switch act {
	case 0:
		k.emit(op, n, inputs, attrs...)
	case 1:
		k.emit(op, n+"c", inputs, attrs...)
		k.emit("Relu", n, []string{n + "c"})
	case 3:
		k.emit(op, n+"c", inputs, attrs...)
		if k.forOpenCV {
			k.emit("Clip", n, []string{n + "c"}, floatAttr("max", 6), floatAttr("min", 0))
		} else {
			k.emit("Clip", n, []string{n + "c", least, most})
		}
	default:
		return fmt.Errorf("the activation %d is not known to this converter", act)
	}
	return nil
}

func (k *sink) conv(o operation, depthwise bool) error {
	src, by := o.in[0], [4]int{}
	if p, ok := k.pads[src]; ok {
		src, by = p.from, p.by
	}
	shape, w, n := k.src.shapes[src], k.src.consts[o.in[1]], name(o.out)
	rows, cols := w.shape[1], w.shape[2]
	strideX, strideY := o.options.intField(1, 0), o.options.intField(2, 0)
	act, dilation, group := o.options.byteField(3), o.options.intField(4, 1), 1
	weights := w
	if depthwise {
		act, dilation, group = o.options.byteField(4), o.options.intField(5, 1), shape[3]
		weights = w.transposed(3, 0, 1, 2)
	} else {
		weights = w.transposed(0, 3, 1, 2)
	}
	if dilation != 1 {
		return fmt.Errorf("a convolution with holes is not known to this converter")
	}
	if o.options.byteField(0) == 0 { // SAME: the odd pixel goes to the bottom and right
		top, bottom := same(shape[1], rows, strideY)
		left, right := same(shape[2], cols, strideX)
		by = [4]int{top, left, bottom, right}
	}
	k.consts = append(k.consts, tensor(n+"w", weights.shape, weights.v)...)
	inputs := []string{name(src), n + "w"}
	if len(o.in) > 2 && o.in[2] >= 0 {
		b := k.src.consts[o.in[2]]
		k.consts = append(k.consts, tensor(n+"b", b.shape, b.v)...)
		inputs = append(inputs, n+"b")
	}
	return k.activated("Conv", n, inputs, act,
		intsAttr("dilations", 1, 1), intAttr("group", group), intsAttr("kernel_shape", rows, cols),
		intsAttr("pads", by[:]...), intsAttr("strides", strideY, strideX))
}

// same is the padding before and after an axis of that length under SAME.
func same(length, kernel, stride int) (before, after int) {
	steps := (length + stride - 1) / stride
	p := max(0, (steps-1)*stride+kernel-length)
	return p / 2, p - p/2
}

// pad keeps a padding of rows and columns for the convolution that reads it, and
// writes out a padding of channels.
func (k *sink) pad(o operation) {
	p, n := k.src.consts[o.in[1]].v, name(o.out) // before and after, for each dimension
	at := func(i int) int { return int(p[i]) }
	if p[6] == 0 && p[7] == 0 {
		k.pads[o.out] = padded{o.in[0], [4]int{at(2), at(4), at(3), at(5)}}
		return
	}
	k.consts = append(k.consts, longTensor(n+"p", 0, at(6), 0, 0, 0, at(7), 0, 0)...)
	k.emit("Pad", n, []string{name(o.in[0]), n + "p"}, textAttr("mode", "constant"))
}

func (k *sink) resize(o operation) error {
	if o.options.byteField(3) == 0 || o.options.byteField(2) != 0 {
		return fmt.Errorf("a resize other than with half-pixel centres is not known to this converter")
	}
	n, shape, to := name(o.out), k.src.shapes[o.in[0]], k.src.consts[o.in[1]].v
	k.consts = append(k.consts, tensor(n+"r", []int{0}, nil)...)
	k.consts = append(k.consts, tensor(n+"s", []int{4}, []float32{1, 1, to[0] / float32(shape[1]), to[1] / float32(shape[2])})...)
	k.emit("Resize", n, []string{name(o.in[0]), n + "r", n + "s"},
		textAttr("mode", "linear"), textAttr("coordinate_transformation_mode", "half_pixel"))
	return nil
}
