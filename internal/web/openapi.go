package web

import (
	"encoding/json"
	"maps"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"time"

	"endfloat/calc/catalog"
	"endfloat/calc/unit"
)

// object is an object of JSON being put together.
type object = map[string]any

// apiDescription answers with what the JSON interface takes and gives, as
// OpenAPI 3.1 has it. It is made of the list of routes, the catalogue of sums
// and the types that are read and written, so that it cannot say anything else
// than they do.
func (s *server) apiDescription(v *visit) error {
	v.json(http.StatusOK, "application/json", s.openAPI())
	return nil
}

func (s *server) openAPI() object {
	paths := object{}
	for _, r := range s.routes() {
		method, path, _ := strings.Cut(r.pattern, " ")
		if !strings.HasPrefix(path, "/api/") {
			continue
		}
		addOperation(paths, method, path, operationOf(r.pattern))
		if r.pattern == sumPattern {
			for _, sum := range catalog.All() {
				addOperation(paths, method, strings.Replace(path, "{name}", sum.Name, 1), sumOperation(sum))
			}
		}
	}
	return object{
		"openapi": "3.1.0",
		"info": object{
			"title": "endfloat", "version": s.opt.Version,
			"description": "The books of the units in the workshop, and the sums. Whatever changes a book is sent with an Origin header that names this workshop's address. Values typed by people are text with their unit, such as \"34.0 in ± 0.1\", where the number after ± is one standard uncertainty; numbers in answers are SI unless a unit stands beside them.",
		},
		"paths": paths,
		"components": object{
			"schemas": object{
				"Jobs": object{"type": "object", "required": []string{"jobs"}, "properties": object{"jobs": list(schemaOf(reflect.TypeFor[jobJSON]()))}},
				"Job":  schemaOf(reflect.TypeFor[stateJSON]()), "Entry": entrySchema(), "Sums": sumsSchema(), "Answer": answerSchema(),
				"Instruments": shape([]string{"instruments"}, object{"instruments": list(schemaOf(reflect.TypeFor[instrumentJSON]()))}),
				"Problem": object{"type": "object", "required": []string{"title", "status", "detail"}, "description": "What went wrong, after RFC 9457.",
					"properties": object{"type": text(), "title": text(), "status": object{"type": "integer"}, "detail": text(), "instance": text()}},
			},
			"responses": object{"Problem": object{"description": "Refused or failed; detail says in one sentence what was read and what was expected.",
				"content": object{"application/problem+json": object{"schema": ref("Problem")}}}},
		},
	}
}

func addOperation(paths object, method, path string, op object) {
	at, _ := paths[path].(object)
	if at == nil {
		at = object{}
		if strings.Contains(path, "{") {
			at["parameters"] = []object{pathParameter(path)}
		}
		paths[path] = at
	}
	at[strings.ToLower(method)] = op
}

// pathParameter describes the one part of a path that varies.
func pathParameter(path string) object {
	_, after, _ := strings.Cut(path, "{")
	name, _, _ := strings.Cut(after, "}")
	return object{"name": name, "in": "path", "required": true, "schema": text()}
}

const sumPattern = "POST /api/sums/{name}"

// operationOf describes one route.
func operationOf(pattern string) object {
	if op := archiveOperation(pattern); op != nil {
		return op
	}
	if op := chooseOperation(pattern); op != nil {
		return op
	}
	switch pattern {
	case "GET /api/openapi.json":
		return operation("description", "This description.", object{"type": "object"})
	case "GET /api/jobs":
		return operation("jobs", "All units, those in hand first.", ref("Jobs"))
	case "GET /api/job/{book}":
		return operation("job", "One unit: its positions, settings, findings and what to do next.", ref("Job"))
	case "POST /api/job/{book}/entry":
		op := operation("entry", "Add one entry to a book, or to the book \"stores\". An entry sent again with the same id adds nothing.", ref("Job"))
		op["requestBody"] = body(ref("Entry"))
		return op
	case "GET /api/job/{book}/strength":
		return strengthOperation()
	case "GET /api/job/{book}/drawings", "GET /api/job/{book}/drawing":
		return drawingOperation(pattern)
	case "POST /api/forget":
		return forgetOperation()
	case "GET /api/search":
		return searchOperation()
	case "GET /api/sums":
		return operation("sums", "The declarations of all sums.", ref("Sums"))
	case sumPattern:
		op := operation("sum", "Do a sum by its name; each sum is described under a path of its own.", ref("Answer"))
		op["requestBody"], op["parameters"] = body(object{"type": "object", "additionalProperties": text()}), besideParameters()
		return op
	case "GET /api/instruments":
		return operation("instruments", "Usual instruments with their maximum permissible errors and the standard uncertainty that follows, to add one like it.", ref("Instruments"))
	}
	return closingOperation(pattern)
}

func operation(id, summary string, answer object) object {
	return object{"operationId": id, "summary": summary, "responses": object{
		"200":     object{"description": "Done.", "content": object{"application/json": object{"schema": answer}}},
		"default": object{"$ref": "#/components/responses/Problem"},
	}}
}

// sumOperation describes a sum as it is declared.
func sumOperation(sum *catalog.Sum) object {
	op := operation("sum-"+sum.Name, sum.Title, ref("Answer"))
	var gives []string
	for _, o := range sum.Outputs {
		g := o.Key + ": " + o.Title
		if o.Unit != "" {
			g += ", in " + o.Unit
		}
		gives = append(gives, g)
	}
	op["description"] = strings.TrimSpace(sum.Purpose + "\n\nResults:\n- " + strings.Join(gives, "\n- ") + "\n\n" + sum.Caution)
	op["tags"] = []string{sum.Group}
	properties, required := object{}, []string{}
	for _, in := range sum.Understands() {
		properties[in.Key] = inputSchema(in)
		if in.Required() {
			required = append(required, in.Key)
		}
	}
	content := object{"schema": object{"type": "object", "properties": properties, "required": required, "additionalProperties": false}}
	if len(sum.Example) > 0 {
		content["example"] = sum.Example
	}
	op["requestBody"], op["parameters"] = object{"required": true, "content": object{"application/json": content}}, besideParameters()
	return op
}

// besideParameters are what may be asked of every sum beside its inputs.
func besideParameters() []object {
	whole := func(name, says string, least, most int) object {
		schema := object{"type": "integer", "minimum": least}
		if most > 0 {
			schema["maximum"] = most
		}
		return object{"name": name, "in": "query", "description": says, "schema": schema}
	}
	return []object{
		whole("mc", "Draw the inputs so many times from their ± (Monte Carlo); every result then has its spread under mc.", catalog.LeastDraws, catalog.MostDraws),
		whole("seed", "Seed of the draws, 1 if left out; the same seed gives the same figures.", 0, 0),
		{"name": "tool", "in": "query", "description": "Name of a tool of the stores that fills in what is not sent, such as a bar. The tubes of the stores fill in by themselves.", "schema": text()},
	}
}

// inputSchema describes an input. It is text, for people type it; the range
// stands beside it in the unit of the input.
func inputSchema(in catalog.Input) object {
	o := object{"type": "string", "description": in.Help}
	switch {
	case len(in.Choices) > 0:
		o["enum"] = in.Choices
	case !in.Words:
		o["x-quantity"] = in.Kind.String()
	}
	if in.Default != "" {
		o["default"] = in.Default
	}
	if in.Unit != "" {
		o["x-unit"] = in.Unit
	}
	if in.Min != in.Max {
		u, _ := unit.Find(in.Unit, in.Kind)
		o["x-range"] = object{"from": unit.Format(in.Min, u, 3), "to": unit.Format(in.Max, u, 3), "from_si": in.Min, "to_si": in.Max}
	}
	switch {
	case in.Many:
		o["x-several"] = "values, apart by commas or semicolons"
	case in.Named:
		o["x-several"] = "values with their names, name = value, apart by commas or semicolons"
	}
	return o
}

// entrySchema has one shape for each kind of entry that may be sent.
func entrySchema() object {
	var kinds []object
	for _, kind := range slices.Sorted(maps.Keys(readers)) {
		empty, err := readers[kind](json.RawMessage("{}"))
		if err != nil {
			continue // every kind reads an empty body; a test counts them
		}
		s := schemaOf(reflect.TypeFor[sent]())
		p := s["properties"].(object)
		p["id"] = object{"type": "string", "format": "uuid", "description": "Made where the entry is made; it makes a repeat harmless."}
		p["kind"], p["body"] = object{"const": kind}, schemaOf(reflect.TypeOf(empty))
		s["title"], s["required"], s["additionalProperties"] = kind, []string{"kind", "body"}, false
		delete(p["body"].(object), "required") // what is left out reads as empty; the workshop says what it misses
		kinds = append(kinds, s)
	}
	return object{"oneOf": kinds}
}

func sumsSchema() object {
	input := shape([]string{"key", "help", "kind", "required"}, object{"key": text(), "symbol": text(), "help": text(), "kind": text(), "unit": text(), "default": text(),
		"required": yes(), "many": yes(), "named": yes(), "whole": yes(), "choices": list(text()), "min_si": number(), "max_si": number()})
	output := shape([]string{"key", "title", "kind"}, object{"key": text(), "symbol": text(), "title": text(), "kind": text(), "unit": text()})
	sum := shape([]string{"name", "title", "group", "purpose", "inputs", "outputs", "sources", "example", "checked"}, object{"name": text(), "title": text(), "group": text(),
		"purpose": text(), "inputs": list(input), "outputs": list(output), "assumptions": list(text()), "sources": list(text()),
		"example": object{"type": []string{"object", "null"}, "additionalProperties": text()}, "caution": text(), "checked": text()})
	return shape([]string{"sums"}, object{"sums": list(sum)})
}

func answerSchema() object {
	share := shape([]string{"input", "part"}, object{"input": text(), "part": number("of the variance that comes from this input, 0 to 1")})
	spread := shape(nil, object{"mean": number(), "sd": number(), "low": number(), "high": number(), "agrees": yes(), "text": text()})
	result := shape([]string{"key", "title", "kind", "text"}, object{"key": text(), "symbol": text(), "title": text(), "kind": text(), "text": text("as printed, with unit and uncertainty"),
		"si": number(), "u_si": number("standard uncertainty, SI"), "unit": text(), "value": number("in unit"), "u": number("standard uncertainty in unit"), "shares": list(share), "mc": spread})
	line := shape([]string{"meaning"}, object{"symbol": text(), "meaning": text(), "formula": text(), "numbers": text("the formula with its numbers"), "value": text(), "source": text()})
	return shape([]string{"sum", "title", "results", "working"}, object{"sum": text(), "title": text(), "results": list(result), "working": list(line),
		"warnings": list(text()), "assumptions": list(text()), "sources": list(text()), "caution": text()})
}

func shape(required []string, properties object) object {
	o := object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		o["required"] = required
	}
	return o
}

func typed(kind string, says []string) object {
	o := object{"type": kind}
	if len(says) > 0 {
		o["description"] = strings.Join(says, " ")
	}
	return o
}

func text(says ...string) object   { return typed("string", says) }
func number(says ...string) object { return typed("number", says) }
func yes() object                  { return typed("boolean", nil) }
func list(of object) object        { return object{"type": "array", "items": of} }
func ref(name string) object       { return object{"$ref": "#/components/schemas/" + name} }
func body(schema object) object {
	return object{"required": true, "content": object{"application/json": object{"schema": schema}}}
}

// schemaOf describes a type as encoding/json writes it.
func schemaOf(t reflect.Type) object {
	switch t {
	case reflect.TypeFor[time.Time]():
		return object{"type": "string", "format": "date-time"}
	case reflect.TypeFor[json.RawMessage]():
		return object{}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return schemaOf(t.Elem())
	case reflect.Slice:
		return list(schemaOf(t.Elem()))
	case reflect.Map:
		return object{"type": "object", "additionalProperties": schemaOf(t.Elem())}
	case reflect.Bool:
		return yes()
	case reflect.Int:
		return typed("integer", nil)
	case reflect.Float64:
		return number()
	case reflect.Struct:
		properties, required := object{}, []string{}
		fields(t, properties, &required)
		return shape(required, properties)
	}
	return text()
}

// fields adds the fields of a struct, and those of the structs it embeds.
func fields(t reflect.Type, properties object, required *[]string) {
	for f := range t.Fields() {
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			fields(f.Type, properties, required)
		case name != "-" && name != "":
			properties[name] = schemaOf(f.Type)
			if !strings.Contains(opts, "omit") {
				*required = append(*required, name)
			}
		}
	}
}
