package web

import (
	"encoding/json"
	"strings"

	"ionoscribe/internal/access"
	"ionoscribe/internal/stationfile"
)

// example is a request of a route that is answered as it is described.
type example struct {
	path   map[string]string // what stands for {name} in it
	query  string            // with its question mark
	body   string
	status int // 0: 200 or 201
}

func (rt route) name() string { return rt.method + " " + rt.path }

func (rt route) examples() []example { return examples[rt.name()] }

// target is the path of a route with what stands for the names in it.
func (rt route) target(path map[string]string) string {
	target := rt.path
	for name, value := range path {
		target = strings.Replace(target, "{"+name+"}", value, 1)
	}
	return target
}

// token is one that a route lets in.
func (rt route) token() string {
	if rt.role == access.None {
		return ""
	}
	return rt.role.String()
}

const galeRule = `{"name": "gale", "text": ["GALE WARNING*"], "modes": ["rtty"], "receivers": ["north"], "ways": ["script"], "quiet": ["22:00-06:00"], "least_interval": "30m"}`

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
	"GET /api/day":  {{}, {query: "?date=" + noon.Format("2006-01-02")}, {query: "?date=today", status: 400}},
	"GET /api/band": {{}, {query: "?receiver=north&from_utc=" + noon.AddDate(0, 0, -7).Format("2006-01-02T15:04:05Z")}},

	"GET /api/charts/{chart}/original":  {{path: chartPath("1")}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}/histogram": {{path: chartPath("1")}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}/preview": {{path: chartPath("1")}, {path: chartPath("1"), query: "?shift=100&invert=true&black=0.1&white=0.9&x=10&y=1&width=200&height=10&scale=0.5&clock_ppm=3&lpm=120&ioc=576"},
		{path: chartPath("1"), query: "?restored=true"}, {path: chartPath("1"), query: "?shift=NaN", status: 400}, {path: chartPath("1"), query: "?scale=1e9", status: 400}, {path: chartPath("9"), status: 404}},
	"POST /api/charts/{chart}/versions": {{path: chartPath("1"), body: `{"changes": {"shift": 30, "invert": true}}`, status: 201}, {path: chartPath("1"), body: `{"changes": {"lpm": 1e9}}`, status: 400},
		{path: chartPath("9"), body: `{"changes": {"shift": 30}}`, status: 404}},
	"DELETE /api/charts/{chart}": {{path: chartPath("1"), status: 409}, {path: chartPath("9"), status: 404}},

	"GET /api/alerts":                      {{}, {query: "?before=2&limit=1"}, {query: "?limit=501", status: 400}, {query: "?before=x", status: 400}},
	"POST /api/alerts/acknowledge":         {{body: `{"up_to": 1}`}, {body: `{"up_to": 9}`, status: 404}, {body: `{"to": 1}`, status: 400}},
	"POST /api/alerts/{alert}/acknowledge": {{path: map[string]string{"alert": "1"}}, {path: map[string]string{"alert": "9"}, status: 404}},
	"GET /api/rules":                       {{}},
	"POST /api/rules/trial":                {{body: galeRule}, {body: `{"name": "", "ways": []}`}, {body: `{"name": 1}`, status: 400}},
	"PUT /api/rules/{name}":                {{path: rulePath("gale"), body: galeRule}, {path: rulePath("gale"), query: "?dry_run=true", body: galeRule}, {path: rulePath("new"), body: `{"name": "new", "ways": ["pigeon"]}`, status: 422}},
	"DELETE /api/rules/{name}":             {{path: rulePath("gale")}, {path: rulePath("storm"), status: 404}},
	"POST /api/rules/{name}/test":          {{path: rulePath("gale")}, {path: rulePath("storm"), status: 404}},

	"GET /api/charts":                   {{}, {query: "?title=Analysis&limit=1&least_quality=0.1"}, {query: "?before=x", status: 400}},
	"GET /api/charts/titles":            {{}},
	"GET /api/charts/{chart}/thumbnail": {{path: chartPath("1")}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}/picture":   {{path: chartPath("1")}, {path: chartPath("1"), query: "?download=true"}, {path: chartPath("9"), status: 404}},
	"GET /api/charts/{chart}":           {{path: chartPath("1")}, {path: chartPath("2")}, {path: chartPath("9"), status: 404}},

	"GET /api/station": {{}},
	"PUT /api/station/receivers/{name}": {{path: receiverNamed("north"), body: `{"source": "device:other", "copy": ["fax"]}`}, {path: receiverNamed("south"), query: "?dry_run=true", body: `{"source": "tcp://10.0.0.7:1234", "iq": "normal"}`},
		{path: receiverNamed("south"), body: `{"source": "/etc/hostname"}`, status: 403}, {path: receiverNamed("south"), body: `{"source": "device:x", "dial": "7878"}`, status: 422},
		{path: receiverNamed("..%2fx"), body: `{"source": "device:x"}`, status: 422}, {path: receiverNamed("north"), body: `{"source": "device:x", "tune": {}}`, status: 400}},
	"DELETE /api/station/receivers/{name}": {{path: receiverNamed("north"), status: 422}, {path: receiverNamed("south"), status: 404}},
	"PUT /api/station/config": {{body: configBody(configuration + "\n[keep]\nsound = \"1 h\"\n")}, {query: "?dry_run=true", body: configBody(configuration)}, {body: `{"text": "", "was": ""}`, status: 409},
		{body: configBody("name = "), status: 422}, {body: configBody(configuration + "\n[[way]]\nname = \"x\"\ncommand = [\"sh\"]\n"), status: 403}},
}

func rulePath(name string) map[string]string       { return map[string]string{"name": name} }
func transmission(number string) map[string]string { return map[string]string{"transmission": number} }
func chartPath(number string) map[string]string    { return map[string]string{"chart": number} }
func receiverNamed(name string) map[string]string  { return map[string]string{"name": name} }

// configBody asks for another text of the small station's station.toml.
func configBody(text string) string {
	b, err := json.Marshal(map[string]string{"text": text, "was": stationfile.Sum([]byte(configuration))})
	if err != nil {
		panic(err) // texts can be written
	}
	return string(b)
}
