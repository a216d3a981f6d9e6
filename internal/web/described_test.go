package web

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// described is the description of the interface, as a test reads it.
type described struct {
	root     map[string]any
	compiler *jsonschema.Compiler
}

const descriptionURL = "http://station/openapi.json"

// describe reads the description. Objects may have no other properties than those that it names.
func describe(t *testing.T) *described {
	t.Helper()
	root, err := jsonschema.UnmarshalJSON(bytes.NewReader(description()))
	must(t, err)
	d := &described{root: root.(map[string]any), compiler: jsonschema.NewCompiler()}
	open := map[string]bool{}
	walk(root, func(o map[string]any) {
		for _, part := range list(o["allOf"]) {
			open[fmt.Sprint(part["$ref"])] = true
		}
	})
	for name, schema := range d.find("/components/schemas").(map[string]any) {
		if !open["#/components/schemas/"+name] {
			walk(schema, closeObject)
		}
	}
	walk(d.root["paths"], closeObject)
	d.compiler.AssertFormat()
	must(t, d.compiler.AddResource(descriptionURL, root))
	return d
}

// closeObject forbids properties that a schema does not name.
func closeObject(o map[string]any) {
	_, hasProperties := o["properties"].(map[string]any)
	_, more := o["additionalProperties"]
	if (hasProperties || o["allOf"] != nil) && !more {
		o["unevaluatedProperties"] = false
	}
}

// walk calls f for a value and all objects in it, innermost last.
func walk(v any, f func(map[string]any)) {
	switch v := v.(type) {
	case map[string]any:
		f(v)
		for key, w := range v {
			if key != "allOf" { // whose parts are not whole objects
				walk(w, f)
			}
		}
	case []any:
		for _, w := range v {
			walk(w, f)
		}
	}
}

func list(v any) (all []map[string]any) {
	parts, _ := v.([]any)
	for _, p := range parts {
		o, _ := p.(map[string]any)
		all = append(all, o)
	}
	return all
}

// find is what a JSON pointer points to; nil if there is nothing.
func (d *described) find(pointer string) any {
	var v any = d.root
	for _, part := range strings.Split(pointer, "/")[1:] {
		o, _ := v.(map[string]any)
		v = o[strings.NewReplacer("~1", "/", "~0", "~").Replace(part)]
	}
	return v
}

// follow is the pointer of what a pointer points to, perhaps by way of references.
func (d *described) follow(pointer string) (string, map[string]any) {
	for {
		o, _ := d.find(pointer).(map[string]any)
		ref, ok := o["$ref"].(string)
		if !ok {
			return pointer, o
		}
		pointer = strings.TrimPrefix(ref, "#")
	}
}

// pointer is where a route is described.
func (rt route) pointer() string {
	return "/paths/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(rt.path) + "/" + strings.ToLower(rt.method)
}

// parameters are those of a route's path or query, by their names.
func (d *described) parameters(rt route, in string) map[string]map[string]any {
	all := map[string]map[string]any{}
	for _, where := range []string{rt.pointer()[:strings.LastIndex(rt.pointer(), "/")], rt.pointer()} {
		for i := range list(d.find(where + "/parameters")) {
			var p map[string]any
			if ref, ok := list(d.find(where + "/parameters"))[i]["$ref"].(string); ok {
				_, p = d.follow(strings.TrimPrefix(ref, "#"))
			} else {
				p = list(d.find(where + "/parameters"))[i]
			}
			if p["in"] == in {
				all[p["name"].(string)] = p
			}
		}
	}
	return all
}
