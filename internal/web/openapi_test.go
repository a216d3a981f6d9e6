package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"mime"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"ionoscribe/internal/access"
)

// Each route is described, with its role and what stands in its path, and nothing else is.
func TestRoutesAreDescribed(t *testing.T) {
	s, d := smallServer(t), describe(t)
	var routes, described []string
	for _, rt := range s.routes() {
		routes = append(routes, rt.name())
		operation, ok := d.find(rt.pointer()).(map[string]any)
		if !ok {
			continue // it is told below
		}
		want := "[]"
		if rt.role != access.None {
			want = fmt.Sprintf(`[{"token":["%[1]s"]},{"session":["%[1]s"]}]`, rt.role)
		}
		if got, _ := json.Marshal(operation["security"]); string(got) != want {
			t.Errorf("%s: security is %s, want %s", rt.name(), got, want)
		}
		var names []string
		for _, part := range strings.Split(rt.path, "/") {
			if strings.HasPrefix(part, "{") {
				names = append(names, strings.Trim(part, "{}"))
			}
		}
		slices.Sort(names)
		if got := slices.Sorted(maps.Keys(d.parameters(rt, "path"))); !slices.Equal(got, names) {
			t.Errorf("%s: parameters of the path are %q, want %q", rt.name(), got, names)
		}
		if operation["summary"] == nil || operation["operationId"] == nil || d.find(rt.pointer()+"/responses/default") == nil {
			t.Errorf("%s: summary, operationId or the default response is missing", rt.name())
		}
	}
	for path, item := range d.root["paths"].(map[string]any) {
		for method := range item.(map[string]any) {
			if method != "parameters" {
				described = append(described, strings.ToUpper(method)+" "+path)
			}
		}
	}
	for _, r := range routes {
		if !slices.Contains(described, r) {
			t.Errorf("%s is not described in openapi/*.json", r)
		}
	}
	for _, r := range described {
		if !slices.Contains(routes, r) {
			t.Errorf("%s is described, and there is no such route", r)
		}
	}
	ids := map[any]bool{}
	walk(d.root["paths"], func(o map[string]any) {
		if id := o["operationId"]; id != nil {
			if ids[id] {
				t.Errorf("operationId %v is there twice", id)
			}
			ids[id] = true
		}
	})
}

// All schemas can be used: no reference leads nowhere.
func TestSchemas(t *testing.T) {
	d := describe(t)
	for name := range d.find("/components/schemas").(map[string]any) {
		if _, err := d.compiler.Compile(descriptionURL + "#/components/schemas/" + name); err != nil {
			t.Error(err)
		}
	}
	walk(d.root, func(o map[string]any) {
		if ref, ok := o["$ref"].(string); ok {
			if _, target := d.follow(strings.TrimPrefix(ref, "#")); target == nil {
				t.Errorf("%s is nowhere", ref)
			}
		}
	})
}

// Each route answers as it is described.
func TestExamples(t *testing.T) {
	d, reading := describe(t), smallServer(t)
	for _, rt := range reading.routes() {
		all := rt.examples()
		if len(all) == 0 {
			t.Errorf("%s has no example; add one to examples", rt.name())
		}
		for _, e := range all {
			s := reading
			if rt.method != http.MethodGet {
				s = smallServer(t) // each change begins with the same station
			}
			d.try(t, s, rt, e)
		}
	}
	for name := range examples {
		if !slices.ContainsFunc(reading.routes(), func(rt route) bool { return rt.name() == name }) {
			t.Errorf("%s has an example, and there is no such route", name)
		}
	}
}

func (d *described) try(t *testing.T, s *Server, rt route, e example) {
	t.Helper()
	target := rt.target(e.path) + e.query
	what := rt.method + " " + target
	d.checkRequest(t, what, rt, e)
	a := ask(s, request(rt.method, target, rt.token(), e.body))
	if want := max(e.status, http.StatusOK); a.Code != want && (e.status != 0 || a.Code != http.StatusCreated) {
		t.Errorf("%s: status %d, want %d: %.300s", what, a.Code, want, a.Body)
		return
	}
	d.checkAnswer(t, what, rt, a)
}

// checkRequest wants a request to be as it is described, unless it is to be refused.
func (d *described) checkRequest(t *testing.T, what string, rt route, e example) {
	t.Helper()
	if e.status >= 400 {
		return
	}
	query, err := url.ParseQuery(strings.TrimPrefix(e.query, "?"))
	must(t, err)
	known := d.parameters(rt, "query")
	for name := range query {
		if known[name] == nil {
			t.Errorf("%s: the parameter %s is not described", what, name)
		}
	}
	pointer, body := d.follow(rt.pointer() + "/requestBody")
	if (body != nil) != (e.body != "") {
		t.Errorf("%s: a body is sent, and none is described, or the other way round", what)
	} else if body != nil {
		d.validate(t, what+", request", pointer+"/content/application~1json/schema", []byte(e.body))
	}
}

// checkAnswer wants an answer to have a status, a type and a form that are described.
func (d *described) checkAnswer(t *testing.T, what string, rt route, a *httptest.ResponseRecorder) {
	t.Helper()
	pointer, response := d.follow(rt.pointer() + "/responses/" + strconv.Itoa(a.Code))
	if response == nil && a.Code >= 400 {
		pointer, response = d.follow(rt.pointer() + "/responses/default")
	}
	kind, _, _ := mime.ParseMediaType(a.Header().Get("Content-Type"))
	content, _ := response["content"].(map[string]any)
	switch {
	case response == nil:
		t.Errorf("%s: the status %d is not described", what, a.Code)
	case content[kind] == nil && (content != nil || a.Body.Len() > 0):
		t.Errorf("%s: the type %q is not described", what, kind)
	case kind == "application/json" || strings.HasSuffix(kind, "+json"):
		d.validate(t, what, pointer+"/content/"+strings.ReplaceAll(kind, "/", "~1")+"/schema", a.Body.Bytes())
	case strings.HasPrefix(kind, "image/") && len(a.Body.Bytes()) < 60:
		t.Errorf("%s: the picture has %d bytes", what, a.Body.Len())
	}
	immutable := strings.HasPrefix(rt.path, "/api/charts/{chart}/") && rt.method == http.MethodGet
	if cache := a.Header().Get("Cache-Control"); cache != "no-store" && !(immutable && strings.HasSuffix(cache, "immutable")) {
		t.Errorf("%s: Cache-Control is %q", what, cache)
	}
}

func (d *described) validate(t *testing.T, what, pointer string, text []byte) {
	t.Helper()
	schema, err := d.compiler.Compile(descriptionURL + "#" + pointer)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err == nil {
		err = schema.Validate(v)
	}
	if err != nil {
		t.Errorf("%s: %v\n%.2000s", what, err, text)
	}
}

// The parameters that a route takes are those that are described; it refuses any other one.
func TestParameters(t *testing.T) {
	s, d := smallServer(t), describe(t)
	for _, rt := range s.routes() {
		if !strings.HasPrefix(rt.path, "/api/") || rt.method != http.MethodGet {
			continue
		}
		target := rt.target(rt.examples()[0].path)
		a := ask(s, request(rt.method, target+"?no_such_parameter=1", rt.token(), ""))
		described := slices.Sorted(maps.Keys(d.parameters(rt, "query")))
		var told struct{ Detail string }
		must(t, json.Unmarshal(a.Body.Bytes(), &told))
		known := quotedWords(told.Detail)
		if a.Code != http.StatusBadRequest || len(known) == 0 || !slices.Equal(known[1:], described) {
			t.Errorf("%s: %d %s\n%q are described", target, a.Code, told.Detail, described)
		}
	}
}

// quotedWords are the words of a text between quotes; all but the first are sorted.
func quotedWords(text string) (all []string) {
	for i, part := range strings.Split(text, `"`) {
		if i%2 == 1 {
			all = append(all, part)
		}
	}
	if len(all) > 0 {
		slices.Sort(all[1:])
	}
	return all
}
