package kinematics_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// nothing imports every package as an empty one: what is looked at is all in this one.
type nothing struct{}

func (nothing) Import(path string) (*types.Package, error) {
	p := types.NewPackage(path, filepath.Base(path))
	p.MarkComplete()
	return p, nil
}

// The files of the package stand in an order, which its comment gives, and none refers to one that
// stands after it: whoever reads them in that order meets nothing unknown.
func TestFilesFlowOneWay(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	at := token.NewFileSet()
	var files []*ast.File
	var order []string
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(at, name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
		if name == "doc.go" {
			_, list, _ := strings.Cut(f.Doc.Text(), "which a test holds:")
			list, _, _ = strings.Cut(list, ".")
			order = strings.Fields(strings.ReplaceAll(list, ",", " "))
		}
	}
	if len(order) != len(files)-1 {
		t.Fatalf("%d files are in order, and %d are there", len(order), len(files)-1)
	}
	uses := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	known := types.Config{Importer: nothing{}, Error: func(error) {}} // what other packages have is not known
	pkg, _ := known.Check("kinematics", at, files, uses)
	place := func(p token.Pos) int {
		return slices.Index(order, strings.TrimSuffix(filepath.Base(at.Position(p).Filename), ".go"))
	}
	forward := 0
	for id, of := range uses.Uses {
		if of.Pkg() != pkg {
			continue
		}
		switch from, to := place(id.Pos()), place(of.Pos()); {
		case from < to:
			t.Errorf("%s uses %s of %s.go, which stands after it", at.Position(id.Pos()), of.Name(), order[to])
		case from > to:
			forward++
		}
	}
	if forward < 500 {
		t.Errorf("only %d references are found", forward)
	}
}
