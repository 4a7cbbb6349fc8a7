package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var testName = regexp.MustCompile(`\b(?:Test|Benchmark|Fuzz)[A-Z][A-Za-z0-9]+\b`)

// A page that names a test as its proof is wrong once that test is gone.
func TestDocsNameRealTests(t *testing.T) {
	there := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") && !strings.HasSuffix(path, "test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok {
				there[fn.Name.Name] = true
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	pages, err := filepath.Glob("docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, page := range append(pages, "README.md", "CONTRIBUTING.md") {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range testName.FindAllString(string(text), -1) {
			if named++; !there[name] {
				t.Errorf("%s names %s, and there is no such test", page, name)
			}
		}
	}
	if named < 10 {
		t.Errorf("only %d tests are named in the pages", named)
	}
}
