package web

// example is a request of a route that is answered as it is described.
type example struct {
	path   map[string]string // what stands for {name} in it
	query  string            // with its question mark
	body   string
	status int // 0: 200 or 201
	// elsewhere says which test tries the route instead, as its answers never end.
	elsewhere string
}

// examples are at least one of each route, by method and path.
var examples = map[string][]example{
	"GET /api/session":      {{}},
	"POST /api/session":     {{body: `{"user": "mate", "password": "` + secret + `"}`}, {body: `{"user": "mate", "password": "x"}`, status: 401}, {body: `{`, status: 400}},
	"DELETE /api/session":   {{}},
	"GET /api/openapi.json": {{}},
	"GET /health":           {{}},
	"GET /metrics":          {{}},
}
