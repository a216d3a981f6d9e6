package web

import (
	"context"
	"crypto/sha256"
	"image"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/alexedwards/argon2id"

	"ionoscribe/fax"
	"ionoscribe/internal/access"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/live"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// configuration is that of the small station of the tests. Its invented programme, rules and receivers fit what it has heard.
const configuration = `name = "Test station"
place = "Lighthouse"
listen = "127.0.0.1:8073"

[[receiver]] # on the roof
name = "north"
source = "device:none"
dial = "7878.1 kHz"

[[programme]]
title = "Analysis"
times = "12:00"
mode = "fax"
frequency = "7878.1 kHz"

[[way]]
name = "script"
command = ["true"]

[[alert]]
name = "gale"
text = ["GALE WARNING*"]
ways = ["script"]
`

// noon is when what the small station has in its archive began.
var noon = time.Now().UTC().Truncate(24 * time.Hour).Add(-12 * time.Hour)

// secret is what a hash of little cost is of.
const secret = "open the hatch"

// smallStation is a station that listens to silence, with a text, two charts of a title, an alert and what was expected in its
// archive: transmissions 1 to 3, charts 1 and 2. It is closed at the end of the test.
func smallStation(t testing.TB) (*station.Station, Config) {
	t.Helper()
	folder := t.TempDir()
	path := filepath.Join(folder, stationfile.Name)
	must(t, os.WriteFile(path, []byte(configuration), 0o666))
	c, err := stationfile.Load(path)
	must(t, err)
	log := slog.New(slog.DiscardHandler)
	connected := make(chan struct{})
	s, err := station.Open(folder, c, station.Options{Log: log, Open: func(context.Context, stationfile.Receiver, float64) (*station.Input, error) {
		began := time.Now()
		return &station.Input{
			Path: "device:none", SampleRate: 8000, Live: true, DialHz: 7878100, DialFrom: "station.toml",
			Time:     func(i int64) time.Time { return began.Add(time.Duration(i) * time.Second / 8000) },
			TimeFrom: func() string { return "the system's clock" },
			Each: func(ctx context.Context, take func(station.Block)) error {
				take(station.Block{Audio: make([]float32, 8000)})
				select {
				case connected <- struct{}{}:
				case <-ctx.Done():
				}
				<-ctx.Done()
				return nil
			},
		}, nil
	}})
	must(t, err)
	fill(t, s.Archive())
	hub := live.New(s)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error)
	go hub.Run(ctx)
	go func() { ended <- s.Run(ctx) }()
	<-connected
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return s, Config{Folder: folder, Station: s, Archive: s.Archive(), Live: hub, Access: c.Page, Log: log}
}

// fill puts into an archive what the small station has heard.
func fill(t testing.TB, a *archive.Archive) {
	t.Helper()
	text := a.Begin(archive.Transmission{Receiver: "north", Source: "device:none", Mode: "rtty", Settings: "50 Bd, shift 450 Hz", OnAir: true,
		Hz: 7880100, LowHz: 7879800, HighHz: 7880400, Begun: noon, SNR: 12.5, Copied: true, TimeFrom: "the system's clock"})
	at := noon
	for i, r := range "GALE WARNING FISHER\nSEVERE G?LE FORCE 9\n" {
		confidence := 0.97
		if i%10 == 9 {
			confidence = 0.3
		}
		a.Text(text, archive.Char{At: at, Text: string(r), Confidence: confidence, Alternatives: []string{"X"}})
		at = at.Add(150 * time.Millisecond)
	}
	a.SNR(text, at, 12)
	a.End(text, at)
	for i := range 2 {
		begun := noon.Add(time.Duration(i) * 24 * time.Hour).Add(-24 * time.Hour)
		id := a.Begin(archive.Transmission{Receiver: "north", Source: "device:none", Mode: "fax", Settings: "IOC 576, 120 lines/min", OnAir: true, Hz: 7878100,
			LowHz: 7877700, HighHz: 7878500, Begun: begun, SNR: 20, Copied: true, TimeFrom: "the system's clock", Title: "Analysis", Entry: "analysis-7878.1"})
		c := smallChart(begun)
		picture, video, err := chartfile.Save(a.Folder(begun), c, nil)
		must(t, err)
		a.Chart(id, archive.Chart{Title: "Analysis", Entry: "analysis-7878.1", Picture: picture, Video: video, Info: c.Info})
		a.End(id, begun.Add(time.Minute))
		a.Expect(archive.Expected{Key: begun.Format(time.RFC3339), Entry: "analysis-7878.1", Title: "Analysis", Mode: "fax", Hz: 7878100,
			At: begun, Closes: begun.Add(5 * time.Minute), Outcome: archive.Came, Transmission: id, Quality: 0.8})
	}
	a.Incident(archive.Incident{At: noon.Add(time.Minute), What: archive.Gap, Receiver: "north", Seconds: 1.5, Text: "samples were lost"})
	a.Deleted(archive.Deletion{At: noon.Add(time.Hour), Kind: archive.Sound, Bytes: 1000, Reason: "it was older than 12 h"})
	must(t, a.Flush(context.Background()))
	id, err := a.Outbox().Add(alerts.Alert{Station: "Test station", Rule: "gale", What: alerts.SignalText, UTC: noon, Made: noon, Summary: "GALE WARNING FISHER",
		Receiver: "north", Transmission: int64(text), Mode: "rtty", FrequencyHz: 7880100, Match: "GALE WARNING"}, []string{"script"})
	must(t, err)
	due, err := a.Outbox().Due(time.Now())
	must(t, err)
	for _, d := range due {
		if d.Alert.ID == id {
			d.State, d.Attempts, d.Changed, d.Reply = alerts.Delivered, 1, noon, "ok"
			must(t, a.Outbox().Mark(d))
		}
	}
}

// smallChart is a chart of 20 lines with its video.
func smallChart(begun time.Time) *chartfile.Chart {
	const rows, columns, period = 20, 1810, 1800
	m := image.NewGray(image.Rect(0, 0, columns, rows))
	for i := range m.Pix {
		m.Pix[i] = byte(i % columns / 8)
	}
	z := make([]complex64, rows*period+300)
	for i := range z {
		z[i] = complex(float32(i%period)/period, -0.5)
	}
	v := new(fax.Video)
	v.Append(z)
	quality := make([]float32, rows)
	for i := range quality {
		quality[i] = 1 - float32(i)/40
	}
	return chartfile.New(&fax.Chart{
		Drawing: fax.Drawing{Origin: 100, Period: period, Columns: columns, Rows: rows, OffsetHz: 8.5, DeviationHz: 400, White: 1},
		Image:   m, Quality: quality, Video: v, SampleRate: 8000, Start: 0, End: rows * 4000,
		IOC: 576, LPM: 120, ClockPPM: -12.34, SNR: 11.25, Began: fax.BeganStartTone, Ended: fax.EndedStopTone, PhaseMeasured: true,
	}, func(i int64) time.Time { return begun.Add(time.Duration(i) * time.Second / 8000) }, "the system's clock")
}

// smallServer is that of the small station. Users mate and master, who look and change, have the password [secret]; programs have
// tokens that are called like their roles.
func smallServer(t testing.TB) *Server {
	t.Helper()
	_, c := smallStation(t)
	hash, err := argon2id.CreateHash(secret, &argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32})
	must(t, err)
	c.Access.Users = []access.User{{Name: "mate", Role: access.Look, Password: hash}, {Name: "master", Role: access.Change, Password: hash}}
	for _, r := range []access.Role{access.Look, access.Change} {
		c.Access.Tokens = append(c.Access.Tokens, access.Token{Name: r.String(), Role: r, SHA256: sha256.Sum256([]byte(r.String()))})
	}
	return New(c)
}

// request is one of this computer, for a path as it stands; token may be "".
func request(method, target, token, body string) *http.Request {
	r := httptest.NewRequest(method, "http://127.0.0.1:8073/", strings.NewReader(body))
	u, err := url.ParseRequestURI(target)
	if err != nil {
		panic(err) // a server refuses it before anybody sees it
	}
	r.URL, r.RequestURI, r.RemoteAddr = u, target, "127.0.0.1:40000"
	if token != "" {
		r.Header.Set("Authorization", "Bearer "+token)
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	return r
}

// ask sends a request to a server, without a network.
func ask(s *Server, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

// listen is at some port of this computer.
func listen(t testing.TB) net.Listener {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	return l
}

func dial(t testing.TB, l net.Listener) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", l.Addr().String())
	must(t, err)
	return c
}
