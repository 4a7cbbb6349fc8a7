package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"endfloat/calc/catalog"
)

// described fetches the description of the JSON interface.
func described(t *testing.T, b *bench) object {
	t.Helper()
	w := b.get("/api/openapi.json")
	holds(t, w, 200)
	var doc object
	if err := json.Unmarshal(w.Body.Bytes(), &doc); err != nil {
		t.Fatalf("the description is no JSON: %v", err)
	}
	return doc
}

// dig walks down an object of JSON; what is not there is nil.
func dig(v any, keys ...string) any {
	for _, k := range keys {
		o, _ := v.(object)
		v = o[k]
	}
	return v
}

// Every route of the interface and every sum with every input stands in its
// description (OpenAPI Specification 3.1.0: fixed fields openapi, info, paths;
// every operation has responses, and every templated part of a path a
// parameter).
func TestDescription(t *testing.T) {
	doc := described(t, newBench(t))
	if doc["openapi"] != "3.1.0" || dig(doc, "info", "title") == nil || dig(doc, "info", "version") != "test" {
		t.Errorf("head: %v %v", doc["openapi"], doc["info"])
	}
	n := 0
	for _, r := range (&server{}).routes() {
		method, path, _ := strings.Cut(r.pattern, " ")
		if !strings.HasPrefix(path, "/api/") {
			continue
		}
		n++
		content := func(media string) any {
			return dig(doc, "paths", path, strings.ToLower(method), "responses", "200", "content", media, "schema")
		}
		if content("application/json") == nil && content("image/svg+xml") == nil {
			t.Errorf("%s is not described", r.pattern)
		}
		if ps, _ := dig(doc, "paths", path, "parameters").([]any); strings.Contains(path, "{") && (len(ps) != 1 || !strings.Contains(path, fmt.Sprintf("{%s}", dig(ps[0], "name")))) {
			t.Errorf("%s: parameters %v", path, ps)
		}
	}
	if n < 6 {
		t.Errorf("%d routes of the interface were found", n)
	}
	ids := map[any]bool{}
	for path, at := range doc["paths"].(object) {
		for method, op := range at.(object) {
			if id := dig(op, "operationId"); method != "parameters" {
				if id == nil || ids[id] {
					t.Errorf("%s %s: operation id %v is missing or there twice", method, path, id)
				}
				ids[id] = true
			}
		}
	}
}

func TestDescribedSums(t *testing.T) {
	doc := described(t, newBench(t))
	for _, s := range catalog.All() {
		schema := dig(doc, "paths", "/api/sums/"+s.Name, "post", "requestBody", "content", "application/json", "schema")
		props, _ := dig(schema, "properties").(object)
		if len(props) != len(s.Understands()) {
			t.Errorf("%s: %d inputs described of %d", s.Name, len(props), len(s.Understands()))
		}
		required, _ := dig(schema, "required").([]any)
		for _, in := range s.Understands() {
			p := props[in.Key]
			enum, _ := dig(p, "enum").([]any)
			unit, _ := dig(p, "x-unit").(string)
			def, _ := dig(p, "default").(string)
			if dig(p, "description") != in.Help || unit != in.Unit || def != in.Default || len(enum) != len(in.Choices) ||
				in.Required() != slices.Contains(required, any(in.Key)) || (in.Min != in.Max) != (dig(p, "x-range") != nil) {
				t.Errorf("%s: input %s is described as %v", s.Name, in.Key, p)
			}
		}
	}
	from := dig(doc, "paths", "/api/sums/lever", "post", "requestBody", "content", "application/json", "schema", "properties", "arm", "x-range", "from_si")
	if lever, _ := catalog.Find("lever"); from != lever.Inputs[slices.IndexFunc(lever.Inputs, func(in catalog.Input) bool { return in.Key == "arm" })].Min {
		t.Errorf("the range of the arm begins at %v", from)
	}
}

// What is answered has the shape that is described, and nothing else.
func TestDescribedAnswers(t *testing.T) {
	b := demoBench(t)
	doc := described(t, b)
	check := func(what, name string, raw []byte) {
		var v any
		if err := json.Unmarshal(raw, &v); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		for _, says := range misfits(doc, ref(name), v, what) {
			t.Error(says)
		}
	}
	for _, s := range catalog.All() {
		in, _ := json.Marshal(s.Example)
		check(s.Name, "Answer", b.send("/api/sums/"+s.Name, string(in)).Body.Bytes())
	}
	check("uncertain", "Answer", b.send("/api/sums/lever", `{"want":"150 N·m ± 2","arm":"0.6 m ± 0.01"}`).Body.Bytes())
	check("drawn", "Answer", b.send("/api/sums/lever?mc=1000", `{"want":"150 N·m ± 2","arm":"0.6 m ± 0.01"}`).Body.Bytes())
	check("instruments", "Instruments", b.get("/api/instruments").Body.Bytes())
	check("sums", "Sums", b.get("/api/sums").Body.Bytes())
	check("jobs", "Jobs", b.get("/api/jobs").Body.Bytes())
	check("linnet", "Job", b.get("/api/job/linnet").Body.Bytes())
	check("problem", "Problem", b.get("/api/job/none").Body.Bytes())
	if says := misfits(doc, ref("Answer"), object{"sum": 3.0, "odd": true}, "wrong"); len(says) < 3 {
		t.Errorf("a wrong answer fits: %v", says)
	}
	kinds, _ := dig(doc, "components", "schemas", "Entry", "oneOf").([]any)
	var named []string
	for _, k := range kinds {
		named = append(named, fmt.Sprint(dig(k, "properties", "kind", "const")))
		if dig(k, "properties", "body", "properties") == nil {
			t.Errorf("the body of %v is not described", dig(k, "title"))
		}
	}
	if want := slices.Sorted(maps.Keys(readers)); !slices.Equal(named, want) {
		t.Errorf("kinds %v, want %v", named, want)
	}
}

// misfits says where a value has not the shape of a schema. It knows the words
// of JSON Schema that the description uses.
func misfits(doc object, schema, v any, at string) []string {
	if to, ok := dig(schema, "$ref").(string); ok {
		return misfits(doc, dig(doc, strings.Split(strings.TrimPrefix(to, "#/"), "/")...), v, at)
	}
	var says []string
	if kind, ok := dig(schema, "type").(string); ok && !isOf(kind, v) {
		return []string{fmt.Sprintf("%s: %v is no %s", at, v, kind)}
	}
	if enum, ok := dig(schema, "enum").([]any); ok && !slices.Contains(enum, v) {
		says = append(says, fmt.Sprintf("%s: %v is none of %v", at, v, enum))
	}
	switch v := v.(type) {
	case []any:
		for i, x := range v {
			says = append(says, misfits(doc, dig(schema, "items"), x, fmt.Sprintf("%s[%d]", at, i))...)
		}
	case object:
		required, _ := dig(schema, "required").([]any)
		for _, k := range required {
			if _, ok := v[k.(string)]; !ok {
				says = append(says, fmt.Sprintf("%s: %v is missing", at, k))
			}
		}
		for k, x := range v {
			p := dig(schema, "properties", k)
			if extra, ok := dig(schema, "additionalProperties").(object); p == nil && ok {
				p = extra
			}
			if p == nil && dig(schema, "additionalProperties") == false {
				says = append(says, fmt.Sprintf("%s: %s is not described", at, k))
			}
			says = append(says, misfits(doc, p, x, at+"."+k)...)
		}
	}
	return says
}

func isOf(kind string, v any) bool {
	switch kind {
	case "string":
		_, ok := v.(string)
		return ok
	case "number":
		_, ok := v.(float64)
		return ok
	case "integer":
		f, ok := v.(float64)
		return ok && f == float64(int(f))
	case "boolean":
		_, ok := v.(bool)
		return ok
	case "array":
		_, ok := v.([]any)
		return ok
	case "object":
		_, ok := v.(object)
		return ok
	}
	return false
}
