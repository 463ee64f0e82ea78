package models

import (
	"encoding/binary"
	"math"
)

// table is one table of a FlatBuffers file (the format of .tflite), read in place.
// Fields are named by their number in the schema, tensorflow/lite/schema/schema.fbs
// version 3. Reading trusts the bytes: it is only given files whose sum was checked.
type table struct {
	b      []byte
	at     int // of the table
	vt, vn int // of its vtable, and that vtable's length
}

func openTable(b []byte, at int) table {
	vt := at - int(int32(u32(b, at)))
	return table{b, at, vt, int(binary.LittleEndian.Uint16(b[vt:]))}
}

func u32(b []byte, at int) uint32 { return binary.LittleEndian.Uint32(b[at:]) }

// root is the table a file starts with.
func root(b []byte) table { return openTable(b, int(u32(b, 0))) }

// field is where field i is, 0 when it has its default.
func (t table) field(i int) int {
	if 4+2*i >= t.vn {
		return 0
	}
	off := int(binary.LittleEndian.Uint16(t.b[t.vt+4+2*i:]))
	if off == 0 {
		return 0
	}
	return t.at + off
}

func (t table) byteField(i int) int {
	if p := t.field(i); p != 0 {
		return int(int8(t.b[p]))
	}
	return 0
}

func (t table) intField(i, standard int) int {
	if p := t.field(i); p != 0 {
		return int(int32(u32(t.b, p)))
	}
	return standard
}

// child is the table that field i points to; ok is false when there is none.
func (t table) child(i int) (c table, ok bool) {
	p := t.field(i)
	if p == 0 {
		return table{}, false
	}
	return openTable(t.b, p+int(u32(t.b, p))), true
}

// vector is where the elements of vector field i start, and how many there are.
func (t table) vector(i int) (at, n int) {
	p := t.field(i)
	if p == 0 {
		return 0, 0
	}
	p += int(u32(t.b, p))
	return p + 4, int(u32(t.b, p))
}

func (t table) tables(i int) []table {
	at, n := t.vector(i)
	out := make([]table, n)
	for k := range out {
		p := at + 4*k
		out[k] = openTable(t.b, p+int(u32(t.b, p)))
	}
	return out
}

func (t table) ints(i int) []int {
	at, n := t.vector(i)
	out := make([]int, n)
	for k := range out {
		out[k] = int(int32(u32(t.b, at+4*k)))
	}
	return out
}

func (t table) bytes(i int) []byte {
	at, n := t.vector(i)
	return t.b[at : at+n]
}

// indices is a union of vectors of 32, 16 or 8 bit integers: its kind is field i,
// its value field i+1.
func (t table) indices(i int) []int {
	v, ok := t.child(i + 1)
	if !ok {
		return nil
	}
	size := map[int]int{1: 4, 2: 2, 3: 1}[t.byteField(i)]
	at, n := v.vector(0)
	out := make([]int, n)
	for k := range out {
		for j := range size {
			out[k] |= int(v.b[at+size*k+j]) << (8 * j)
		}
	}
	return out
}

// half turns an IEEE 754 half into a float.
func half(h uint16) float32 {
	sign := 1.0
	if h&0x8000 != 0 {
		sign = -1
	}
	exp, frac := int(h>>10&0x1f), float64(h&0x3ff)
	switch exp {
	case 0:
		return float32(sign * math.Ldexp(frac, -24))
	case 31:
		if frac != 0 {
			return float32(math.NaN())
		}
		return float32(math.Inf(int(sign)))
	}
	return float32(sign * math.Ldexp(1+frac/1024, exp-15))
}
