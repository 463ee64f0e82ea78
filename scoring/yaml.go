package scoring

import (
	"embed"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"steadfall/internal/bounded"
)

// library is the bundled YAML files of one kind.
type library struct {
	files embed.FS
	dir   string
	what  string // one of them is called
}

func (l library) names() []string {
	files, _ := l.files.ReadDir(l.dir)
	var out []string
	for _, f := range files {
		out = append(out, strings.TrimSuffix(f.Name(), ".yaml"))
	}
	return out
}

func (l library) text(name string) ([]byte, error) {
	if all := l.names(); !slices.Contains(all, name) {
		return nil, fmt.Errorf("there is no %s %q; the bundled ones are %s, or name a .yaml file", l.what, name, strings.Join(all, ", "))
	}
	return l.files.ReadFile(path.Join(l.dir, name+".yaml"))
}

// strict reads YAML into v, refusing fields that v does not have. Errors are *LineError; the
// library panics on some files that are not YAML, such as "items: !0 #0".
func strict(data []byte, v any) (file *ast.File, err error) {
	defer func() {
		if recover() != nil {
			file, err = nil, &LineError{1, "this is not YAML that can be read; compare it with a bundled file"}
		}
	}()
	if line, err := bounded.YAML(data); err != nil {
		return nil, &LineError{line, "the file " + err.Error()}
	}
	file, err = parser.ParseBytes(data, 0)
	if err != nil {
		return nil, yamlError(err)
	}
	if err := yaml.UnmarshalWithOptions(data, v, yaml.Strict(), yaml.DisallowUnknownField()); err != nil {
		return nil, yamlError(err)
	}
	if empty := emptyField(file); empty != nil {
		return nil, &LineError{empty.GetToken().Position.Line, fmt.Sprintf("%s is empty; give it a value, or remove the line", empty.Key)}
	}
	return file, nil
}

// emptyField is a field without a value, which would count as 0 or as not asked for.
func emptyField(file *ast.File) (empty *ast.MappingValueNode) {
	look := visit(func(n ast.Node) {
		if f, ok := n.(*ast.MappingValueNode); ok && empty == nil && f.Value.Type() == ast.NullType {
			empty = f
		}
	})
	for _, d := range file.Docs {
		ast.Walk(look, d)
	}
	return empty
}

// visit is called for every node of a file.
type visit func(ast.Node)

func (v visit) Visit(n ast.Node) ast.Visitor { v(n); return v }

// has reports whether a place in the file is there.
func has(file *ast.File, where string) bool {
	p, err := yaml.PathString(where)
	if err != nil {
		return false
	}
	n, err := p.FilterFile(file)
	return err == nil && n != nil
}

// LineError is what is wrong with a checklist or a ladder, and on which line.
type LineError struct {
	Line int
	Why  string
}

func (e *LineError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Why) }

// yamlError keeps the line and the first sentence of what the YAML library says.
func yamlError(err error) error {
	var y yaml.Error
	if errors.As(err, &y) {
		line := 1
		if t := y.GetToken(); t != nil {
			line = t.Position.Line
		}
		return &LineError{line, y.GetMessage()}
	}
	return &LineError{1, strings.SplitN(err.Error(), "\n", 2)[0]}
}

// lineOf is the line of a place in the file, such as "$.items[2].unit", or of the
// nearest parent that there is.
func lineOf(file *ast.File, where string) int {
	for where != "" {
		if p, err := yaml.PathString(where); err == nil {
			if n, err := p.FilterFile(file); err == nil && n != nil && n.GetToken() != nil {
				return n.GetToken().Position.Line
			}
		}
		cut := strings.LastIndexAny(where, ".[")
		if cut < 0 {
			break
		}
		where = where[:cut]
	}
	return 1
}
