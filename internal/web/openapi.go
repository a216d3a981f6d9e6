package web

import (
	"embed"
	"encoding/json"
	"io/fs"
	"net/http"

	"ionoscribe/internal/access"
)

// The description of the interface is written by hand: base.json, and a file for the routes of each subject with its schemas.
//
//go:embed openapi/*.json
var descriptions embed.FS

func (s *Server) openapiRoutes() []route {
	text := description()
	return []route{{"GET", "/api/openapi.json", access.None, func(w http.ResponseWriter, r *http.Request) (any, error) {
		return json.RawMessage(text), queryOf(r).err
	}}}
}

// description joins the files to an OpenAPI document.
func description() []byte {
	all := map[string]any{}
	names, err := fs.Glob(descriptions, "openapi/*.json")
	if err != nil {
		panic(err) // the pattern is right
	}
	for _, name := range names {
		text, err := descriptions.ReadFile(name)
		if err != nil {
			panic(err) // it is embedded
		}
		part := map[string]any{}
		if err := json.Unmarshal(text, &part); err != nil {
			panic(name + ": " + err.Error()) // it is a part of the program
		}
		join(all, part)
	}
	text, err := json.Marshal(all)
	if err != nil {
		panic(err) // it was JSON
	}
	return text
}

// join puts what is in an object into another one, and objects within into those that have the same key.
func join(all, part map[string]any) {
	for key, value := range part {
		a, b := map[string]any(nil), map[string]any(nil)
		a, _ = all[key].(map[string]any)
		b, _ = value.(map[string]any)
		if a != nil && b != nil {
			join(a, b)
		} else {
			all[key] = value
		}
	}
}
