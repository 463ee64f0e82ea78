// Package bounded reads what people hand in no further than it may go: in bytes, in the length
// of a line and in depth, before a parser sees it. A parser that follows 100 kB of "[" takes
// gigabytes. Errors are sentences without the file's name.
package bounded

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"
)

// The most bytes of what is read whole. A checklist takes 4 kB, the result of a clip of ten
// minutes a few MB.
const (
	MostYAML = 64 << 10
	MostJSON = 64 << 20
	mostCSV  = 256 << 20
)

// The deepest of our own files has 6 levels.
const mostDepth = 32

var errDeep = fmt.Errorf("nests more than %d levels of brackets or dashes, which nothing that is read here does", mostDepth)

// ReadFile reads a file of at most so many bytes, which is called what in its errors. These
// are whole sentences.
func ReadFile(name string, most int64, what string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s %q cannot be read; check the name and the folder", what, name)
	}
	defer f.Close()
	data, err := Read(f, most)
	switch {
	case errors.Is(err, ErrLarge):
		return nil, fmt.Errorf("%s %q %w; is it the right file?", what, name, err)
	case err != nil:
		return nil, fmt.Errorf("%s %q cannot be read; check the name and the folder", what, name)
	}
	return data, nil
}

// Named reads a bundled thing by name, or a file when the name ends in .yaml or .yml, which is called
// what in its errors.
func Named[T any](name, what string, bundled func(string) (T, error), parse func([]byte) (T, error)) (T, error) {
	if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
		return bundled(name)
	}
	data, err := ReadFile(name, MostYAML, what)
	if err != nil {
		var none T
		return none, err
	}
	v, err := parse(data)
	if err != nil {
		return v, fmt.Errorf("%s: %w", name, err)
	}
	return v, nil
}

// ErrLarge is what Read says of more bytes than it may read.
var ErrLarge = errors.New("is larger than anything that is read here")

// Read reads at most so many bytes.
func Read(r io.Reader, most int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err == nil && int64(len(data)) > most {
		return nil, fmt.Errorf("%w (%d kB at most)", ErrLarge, most>>10)
	}
	return data, err
}

// JSON refuses text that nests too deeply.
func JSON(data []byte) error {
	depth, quoted := 0, false
	for i := 0; i < len(data); i++ {
		switch c := data[i]; {
		case quoted && c == '\\':
			i++
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '[' || c == '{':
			if depth++; depth > mostDepth {
				return errDeep
			}
		case c == ']' || c == '}':
			depth--
		}
	}
	return nil
}

// YAML refuses text that is too long or nests too deeply, and says in which line. Levels made
// by indenting alone are few enough in a text that is short enough.
func YAML(data []byte) (line int, err error) {
	if len(data) > MostYAML {
		return 1, fmt.Errorf("%w (%d kB at most)", ErrLarge, MostYAML>>10)
	}
	depth := 0
	for _, t := range lexer.Tokenize(string(data)) {
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth = max(0, depth-1)
		case token.SequenceEntryType, token.MappingKeyType: // each takes two columns: - - - a
			if t.Position.Column > 2*mostDepth {
				return t.Position.Line, errDeep
			}
		}
		if depth > mostDepth {
			return t.Position.Line, errDeep
		}
	}
	return 0, nil
}

// mostLine is how long a line of a table may be, in bytes.
const mostLine = 16 << 10

// Table lets a table of comma-separated values through as long as its lines are of a length
// that people write and no cell goes over several of them; otherwise one stray quote has the
// whole file held as a cell.
func Table(r io.Reader) io.Reader { return &table{from: r} }

type table struct {
	from           io.Reader
	all            int64
	number, length int // of the line
	quotes         int // in it
	bad            error
}

func (t *table) Read(p []byte) (int, error) {
	if t.bad != nil {
		return 0, t.bad
	}
	n, err := t.from.Read(p)
	whole := 0 // bytes up to the end of the last good line
	for i, c := range p[:n] {
		switch t.length++; {
		case c == '\n' && t.quotes%2 == 1:
			t.bad = fmt.Errorf("has a quote in line %d that is not closed", t.number+1)
		case c == '\n':
			t.number, t.length, t.quotes, whole = t.number+1, 0, 0, i+1
		case c == '"':
			t.quotes++
		case t.length > mostLine:
			t.bad = fmt.Errorf("has a line %d of more than %d kB", t.number+1, mostLine>>10)
		}
		if t.bad != nil {
			return whole, t.bad
		}
	}
	if t.all += int64(n); t.all > mostCSV {
		t.bad = fmt.Errorf("%w (%d MB at most)", ErrLarge, mostCSV>>20)
		return 0, t.bad
	}
	return n, err
}
