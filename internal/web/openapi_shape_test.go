package web

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

var varied = regexp.MustCompile(`\{([^}]+)\}`)

// The description holds together, after the OpenAPI Specification 3.1.0: what it
// refers to is there (4.8.23), every part of a path that varies is a required
// parameter of it and no other is (4.8.12), every operation answers with a schema
// and every example has the shape of its schema (4.8.14).
func TestDescriptionHoldsTogether(t *testing.T) {
	doc := described(t, newBench(t))
	refs, examples := 0, 0
	walkJSON(doc, "#", func(where string, o object) {
		if to, ok := o["$ref"].(string); ok {
			refs++
			if !strings.HasPrefix(to, "#/") || dig(doc, strings.Split(to[2:], "/")...) == nil {
				t.Errorf("%s: %q leads nowhere", where, to)
			}
		}
		if example, ok := o["example"]; ok && o["schema"] != nil {
			examples++
			for _, says := range misfits(doc, o["schema"], example, where) {
				t.Error(says)
			}
		}
	})
	if refs < 100 || examples < 50 {
		t.Errorf("%d references and %d examples were found", refs, examples)
	}
	for path, item := range doc["paths"].(object) {
		for method, op := range item.(object) {
			if method != "parameters" {
				checkOperation(t, doc, path, method, item, op)
			}
		}
	}
	// What is checked can fail.
	if says := misfits(doc, object{"type": "string", "enum": []any{"a"}}, "b", "x"); len(says) != 1 {
		t.Errorf("a wrong choice fits: %v", says)
	}
}

func checkOperation(t *testing.T, doc object, path, method string, item, op any) {
	t.Helper()
	what := method + " " + path
	var want, have []string
	for _, m := range varied.FindAllStringSubmatch(path, -1) {
		want = append(want, m[1])
	}
	all, _ := dig(item, "parameters").([]any)
	own, _ := dig(op, "parameters").([]any)
	seen := map[string]bool{}
	for _, p := range append(slices.Clone(all), own...) {
		name, in := fmt.Sprint(dig(p, "name")), fmt.Sprint(dig(p, "in"))
		if seen[in+name] || dig(p, "schema") == nil || !slices.Contains([]string{"path", "query"}, in) {
			t.Errorf("%s: parameter %v", what, p)
		}
		seen[in+name] = true
		if in == "path" {
			have = append(have, name)
			if dig(p, "required") != true {
				t.Errorf("%s: %s must be required", what, name)
			}
		}
	}
	if !slices.Equal(want, have) {
		t.Errorf("%s: parts that vary %v, parameters %v", what, want, have)
	}
	responses, _ := dig(op, "responses").(object)
	for code, r := range responses {
		if to, ok := dig(r, "$ref").(string); ok {
			r = dig(doc, strings.Split(strings.TrimPrefix(to, "#/"), "/")...)
		}
		content, _ := dig(r, "content").(object)
		if dig(r, "description") == nil || len(content) == 0 {
			t.Errorf("%s: response %s says nothing", what, code)
		}
		for kind, c := range content {
			if dig(c, "schema") == nil {
				t.Errorf("%s: response %s, %s has no schema", what, code, kind)
			}
		}
	}
	if responses["200"] == nil || responses["default"] == nil {
		t.Errorf("%s: responses %v", what, responses)
	}
}

func walkJSON(v any, at string, see func(string, object)) {
	switch v := v.(type) {
	case object:
		see(at, v)
		for k, x := range v {
			walkJSON(x, at+"/"+k, see)
		}
	case []any:
		for i, x := range v {
			walkJSON(x, fmt.Sprintf("%s/%d", at, i), see)
		}
	}
}

// A general library that is independent of this program holds the description
// against the rules of OpenAPI 3.1.
func TestDescriptionAgainstValidator(t *testing.T) {
	w := newBench(t).get("/api/openapi.json")
	check := func(doc []byte) error {
		api, err := openapi3.NewLoader().LoadFromData(doc)
		if err != nil {
			return err
		}
		return api.Validate(t.Context())
	}
	if err := check(w.Body.Bytes()); err != nil {
		t.Errorf("the validator refuses the description: %v", err)
	}
	if check(bytes.Replace(w.Body.Bytes(), []byte(`"in":"path"`), []byte(`"in":"road"`), 1)) == nil {
		t.Error("the validator takes a parameter that is in the road")
	}
}
