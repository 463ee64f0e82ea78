package models

import (
	"encoding/binary"
	"math"
)

// message is a protocol buffer being written. Field numbers are those of onnx.proto
// (ONNX 1.6, IR version 6).
type message []byte

func (m *message) tag(field, kind int) { *m = binary.AppendUvarint(*m, uint64(field<<3|kind)) }

func (m *message) num(field int, v int64) {
	m.tag(field, 0)
	*m = binary.AppendUvarint(*m, uint64(v))
}

func (m *message) float(field int, v float32) {
	m.tag(field, 5)
	*m = binary.LittleEndian.AppendUint32(*m, math.Float32bits(v))
}

func (m *message) bytes(field int, v []byte) {
	m.tag(field, 2)
	*m = binary.AppendUvarint(*m, uint64(len(v)))
	*m = append(*m, v...)
}

func (m *message) text(field int, s string) { m.bytes(field, []byte(s)) }

// The kinds of an attribute: AttributeProto.AttributeType.
const (
	attrFloat = 1
	attrInt   = 2
	attrText  = 3
	attrInts  = 7
)

// attr is one attribute of a node, as field 5 of NodeProto.
func attr(name string, kind int, put func(*message)) []byte {
	var a, m message
	a.text(1, name)
	put(&a)
	a.num(20, int64(kind))
	m.bytes(5, a)
	return m
}

func intAttr(name string, v int) []byte {
	return attr(name, attrInt, func(m *message) { m.num(3, int64(v)) })
}

func floatAttr(name string, v float32) []byte {
	return attr(name, attrFloat, func(m *message) { m.float(2, v) })
}

func textAttr(name, v string) []byte {
	return attr(name, attrText, func(m *message) { m.text(4, v) })
}

func intsAttr(name string, vs ...int) []byte {
	return attr(name, attrInts, func(m *message) {
		for _, v := range vs {
			m.num(8, int64(v))
		}
	})
}

// node is an operation whose only output has its name, as field 1 of GraphProto.
func node(op, name string, inputs []string, attrs ...[]byte) []byte {
	var n, m message
	for _, i := range inputs {
		n.text(1, i)
	}
	n.text(2, name)
	n.text(3, name)
	n.text(4, op)
	for _, a := range attrs {
		n = append(n, a...)
	}
	m.bytes(1, n)
	return m
}

// tensor is a constant of floats, as field 5 of GraphProto.
func tensor(name string, shape []int, v []float32) []byte {
	raw := make([]byte, 0, 4*len(v))
	for _, x := range v {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(x))
	}
	return rawTensor(name, shape, 1, raw)
}

// longTensor is a constant of 64 bit integers in one dimension.
func longTensor(name string, v ...int) []byte {
	var raw []byte
	for _, x := range v {
		raw = binary.LittleEndian.AppendUint64(raw, uint64(x))
	}
	return rawTensor(name, []int{len(v)}, 7, raw)
}

func rawTensor(name string, shape []int, kind int64, raw []byte) []byte {
	var t, m message
	for _, d := range shape {
		t.num(1, int64(d))
	}
	t.num(2, kind)
	t.text(8, name)
	t.bytes(9, raw)
	m.bytes(5, t)
	return m
}

// valueInfo names an input (field 11) or output (12) of the graph: floats of a shape.
func valueInfo(field int, name string, shape []int) []byte {
	var dims, kind, typ, v, m message
	for _, d := range shape {
		var dim message
		dim.num(1, int64(d))
		dims.bytes(1, dim)
	}
	kind.num(1, 1)
	kind.bytes(2, dims)
	typ.bytes(1, kind)
	v.text(1, name)
	v.bytes(2, typ)
	m.bytes(field, v)
	return m
}
