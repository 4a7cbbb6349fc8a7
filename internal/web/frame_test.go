package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"testing"
)

// What a page calls its own matter is no name of the frame around it: the frame would
// show that in its own place.
func TestNothingHidesTheFrame(t *testing.T) {
	taken := map[string]bool{}
	f := reflect.TypeFor[frame]()
	for i := range f.NumField() {
		taken[f.Field(i).Name] = true
	}
	for i := range f.NumMethod() {
		taken[f.Method(i).Name] = true
	}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	framed := 0
	fset := token.NewFileSet()
	for _, name := range files {
		file, err := parser.ParseFile(fset, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			s, ok := n.(*ast.StructType)
			if !ok || !embedsFrame(s) {
				return true
			}
			framed++
			for _, field := range s.Fields.List {
				for _, id := range field.Names {
					if taken[id.Name] {
						t.Errorf("%s: %s is a name of the frame", fset.Position(id.Pos()), id.Name)
					}
				}
			}
			return true
		})
	}
	if framed < 20 {
		t.Fatalf("%d pages were looked at: this proves nothing", framed)
	}
}

func embedsFrame(s *ast.StructType) bool {
	for _, field := range s.Fields.List {
		if id, ok := field.Type.(*ast.Ident); ok && len(field.Names) == 0 && id.Name == "frame" {
			return true
		}
	}
	return false
}
