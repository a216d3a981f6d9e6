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

	"GET /api/now":    {{}},
	"GET /api/events": {{status: 426}, {query: "?after=x", status: 400}},
	"GET /api/receivers/{receiver}/sound": {{path: map[string]string{"receiver": "north"}, query: "?low_hz=1e6&high_hz=2e6", status: 400},
		{path: map[string]string{"receiver": "south"}, status: 404}},
	"GET /api/transmissions/{transmission}/drawing": {{path: transmission("1"), status: 404}},

	"GET /api/transmissions": {{}, {query: "?words=gale&mode=rtty&mode=cw&receiver=north&low_hz=7e6&high_hz=8e6&texts=true&limit=1"}, {query: "?charts=true&title=analysis&least_quality=0.1"},
		{query: "?words=%22", status: 400}, {query: "?from_utc=yesterday", status: 400}, {query: "?limit=-1", status: 400}},
	"GET /api/transmissions/export":                {{query: "?form=text"}, {query: "?form=csv&words=gale"}, {query: "?form=json"}, {query: "?form=adif"}, {status: 400}},
	"GET /api/transmissions/{transmission}":        {{path: transmission("1")}, {path: transmission("2")}, {path: transmission("1"), query: "?words=gale&from_line=1&lines=1"}, {path: transmission("9"), status: 404}},
	"GET /api/transmissions/{transmission}/export": {{path: transmission("1"), query: "?form=text"}, {path: transmission("9"), query: "?form=json", status: 404}},
	"PATCH /api/transmissions/{transmission}": {{path: transmission("1"), body: `{"title": "Gale warning", "notes": "weak", "rating": 4, "favourite": true}`}, {path: transmission("1"), body: `{}`},
		{path: transmission("1"), body: `{"rating": 6}`, status: 400}, {path: transmission("9"), body: `{"rating": 1}`, status: 404}},
	"GET /api/charts":                   {{}, {query: "?title=Analysis&limit=1&least_quality=0.1"}, {query: "?before=x", status: 400}},
	"GET /api/charts/titles":            {{}},
	"GET /api/charts/{chart}/thumbnail": {{path: chartPath("1")}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}/picture":   {{path: chartPath("1")}, {path: chartPath("1"), query: "?download=true"}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}":           {{path: chartPath("1")}, {path: chartPath("2")}, {path: chartPath("9"), status: 404}},
}

func transmission(number string) map[string]string { return map[string]string{"transmission": number} }
func chartPath(number string) map[string]string    { return map[string]string{"chart": number} }
