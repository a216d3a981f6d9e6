package rehearsal

import (
	"cmp"
	"fmt"
	"image"
	"strings"
	"time"

	"golang.org/x/image/draw"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/scenario"
	"ionoscribe/internal/station"
	"ionoscribe/samples"
)

// Demo is an invented station with an invented day behind it, which goes on: receivers hear yesterday at once, and then what comes
// as time goes.
type Demo struct {
	Now time.Time // when yesterday ends, and what comes begins
	New bool      // yesterday is heard, as it was not before

	Behind time.Duration // by which Now is behind the clock
	Listen string        // address of the page; "": DemoListen
}

// Time is the demonstration's: that of the clock, unless Now is not.
func (d Demo) Time() time.Time { return time.Now().UTC().Add(-d.Behind) }

// show is a broadcast of every day of the demonstration.
type show struct {
	receiver string
	hour     int
	minute   int
	mode     string
	hz       float64 // in the audio
	snr      float64 // dB in 2500 Hz
	title    string  // in the programme; "": it is on none
	silent   bool
	text     string
	chart    func() image.Image
	late     float64 // seconds of it that the receiver misses
}

// Charts of the demonstration, of five minutes or less.
func analysis() image.Image { return scenario.Chart(scenario.Width, 600) }
func waves() image.Image    { return scenario.RandomLayout(scenario.Width, 5).Draw(scenario.Width, 500) }
func iceChart() image.Image {
	return scenario.RandomLayout(scenario.Width, 11).Draw(scenario.Width, 500)
}

// winds have no margin that would tell where a line starts.
func winds() image.Image {
	all := scenario.RandomLayout(scenario.Width, 13).Draw(scenario.Width, 700)
	const edge = 70 // margin and frame
	bare := image.NewGray(image.Rect(0, 0, scenario.Width, 560))
	draw.ApproxBiLinear.Scale(bare, bare.Bounds(), all, image.Rect(edge, edge, scenario.Width-edge, 700-edge), draw.Src, nil)
	return bare
}

// sound sends a show; nil: as its mode invents it.
func (s show) sound() func() (mode.Sound, error) {
	if s.chart == nil {
		return nil
	}
	return func() (mode.Sound, error) {
		f, err := samples.NewFax(samples.FaxConfig{Picture: s.chart(), SampleRate: rate, CentreHz: s.hz, Amplitude: 1})
		if err != nil || s.late == 0 {
			return f, err
		}
		return joined(f, s.late), nil
	}
}

const gale = `CQ CQ CQ DE 9OST 9OST 9OST
OSTREL MARITIME SAFETY BULLETIN
GALE WARNING OSTREL SEA NORTH PART
WIND SOUTHWEST 8 INCREASING 9 LATER VEERING WEST
SEA ROUGH OR VERY ROUGH VISIBILITY MODERATE IN RAIN
NNNN
`

const ice = `CQ CQ CQ DE 9OST 9OST 9OST
ICE BULLETIN NORTHERN APPROACHES
EDGE FROM 7412N TO 7448N DRIFTING SOUTH 0.4 KNOTS
BERGS REPORTED NEAR CAPE HOLM
NNNN
`

const traffic9 = `CQ CQ DE 9VEL 9VEL = TRAFFIC LIST = 9KAR 9MOR 9TIL = QSX 12660 KHZ = AR`

// shows are the demonstration's day. Stations, ships and places are invented.
var shows = []show{
	{"harbour", 3, 10, "fax", 1900, 22, "Surface analysis, Ostrel Sea", false, "", analysis, 0},
	{"harbour", 9, 10, "fax", 1900, 18, "Surface analysis, Ostrel Sea", false, "", analysis, 0},
	{"harbour", 12, 30, "fax", 1900, 25, "Wave forecast, 24 hours", false, "", waves, 0},
	{"harbour", 13, 40, "fax", 1900, 24, "Wind chart, Velmar Bight", false, "", winds, 60},        // its line start is not heard
	{"harbour", 15, 10, "fax", 1900, 0, "Surface analysis, Ostrel Sea", true, "", analysis, 0},    // it does not come
	{"harbour", 18, 30, "fax", 1900, 1, "Ice chart, northern approaches", false, "", iceChart, 0}, // poor
	{"harbour", 21, 10, "fax", 1900, 20, "Surface analysis, Ostrel Sea", false, "", analysis, 0},
	{"ridge", 2, 0, "rtty", 1500, 16, "Gale bulletin, Ostrel Sea", false, gale, nil, 0},
	{"ridge", 5, 30, "cw", 700, 14, "Traffic list, Velmar", false, traffic9, nil, 0},
	{"ridge", 8, 0, "rtty", 1500, 12, "Gale bulletin, Ostrel Sea", false, gale, nil, 0},
	{"ridge", 10, 45, "cw", 1120, 9, "", false, "9KAR DE 9MOR = QTH 64 12 N 3 40 E = ETA HOLM 1800 = TNX AR", nil, 0},
	{"ridge", 14, 0, "rtty", 1500, 4, "Ice bulletin", false, ice, nil, 0},
	{"ridge", 17, 30, "cw", 700, 18, "Traffic list, Velmar", false, traffic9, nil, 0},
	{"ridge", 20, 0, "rtty", 1500, 15, "Gale bulletin, Ostrel Sea", false, gale, nil, 0},
}

// demoDials is where the receivers are tuned to, Hz.
var demoDials = map[string]float64{"harbour": 3_853_100, "ridge": 7_644_200}

// demoDays is for how many days the demonstration goes on.
const demoDays = 7

// broadcasts are those of a receiver, yesterday's and those to come.
func (d Demo) broadcasts(receiver string) (all []broadcast) {
	first := d.Now.UTC().Add(-24 * time.Hour).Truncate(24 * time.Hour)
	for day := range demoDays + 1 {
		for i, s := range shows {
			at := first.AddDate(0, 0, day).Add(time.Duration(s.hour)*time.Hour + time.Duration(s.minute)*time.Minute)
			if s.receiver != receiver || at.Before(d.Now.Add(-24*time.Hour)) || !d.New && at.Before(d.Now) {
				continue
			}
			all = append(all, s.broadcast(at, uint64(day*len(shows)+i)))
		}
	}
	return d.withPractice(receiver, all)
}

func (s show) broadcast(at time.Time, seed uint64) broadcast {
	return broadcast{at: at, mode: mode.Find(modes.All, s.mode), hz: s.hz, snr: s.snr, silent: s.silent, seed: seed, text: s.text, sound: s.sound()}
}

// Open is the source of a receiver; nil: there is none of this name.
func (d Demo) Open(receiver string) *station.Input {
	dial, ok := demoDials[receiver]
	if !ok {
		return nil
	}
	in := &input{pieces: d.broadcasts(receiver), live: d.Now, behind: d.Behind}
	return in.open(DemoPrefix+receiver, dial)
}

// DemoPrefix begins the sources of a demonstration.
const DemoPrefix = "demo:"

// Config is the station.toml of the demonstration.
func (d Demo) Config() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, demoHead, cmp.Or(d.Listen, DemoListen))
	times := map[string][]string{} // of a title
	for _, s := range shows {
		times[s.title] = append(times[s.title], fmt.Sprintf("\"%02d:%02d\"", s.hour, s.minute))
	}
	for _, s := range shows {
		if s.title != "" && times[s.title] != nil {
			fmt.Fprintf(&b, "\n[[programme]]\ntitle = %q\ntimes = [%s]\nfrequency = \"%g kHz\"\nmode = %q\nreceivers = [%q]\n",
				s.title, strings.Join(times[s.title], ", "), (demoDials[s.receiver]+s.hz)/1000, s.mode, s.receiver)
			delete(times, s.title)
		}
	}
	return []byte(b.String())
}

// DemoListen is the address of the demonstration's page.
const DemoListen = "127.0.0.1:8073"

const demoHead = `# An invented station with an invented day behind it. Ships, stations and places do not exist.

name = "Demonstration"
place = "Harbour of Holm"
listen = %q

[[receiver]]
name = "harbour"
source = "demo:harbour"
dial = "3853.1 kHz"
sound = "2 h"

[[receiver]]
name = "ridge"
source = "demo:ridge"
dial = "7644.2 kHz"
sound = "2 h"

[keep]
videos = "30 days"

[[way]]
name = "file"
command = ["tee", "-a", "alerts.json"]

[[alert]]
name = "gale"
text = ["GALE WARNING"]
ways = ["file"]
least_interval = "1h"

[[alert]]
name = "broadcast"
programme = ["missed", "poor"]
ways = ["file"]
`
