package rehearsal

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/programme"
)

// Plan says what is rehearsed. All follows from it.
type Plan struct {
	Days  int
	A     int // broadcasts a receiver a day: 22 make 2000 in a month of three receivers
	Seed  uint64
	Begin time.Time // UTC, the first midnight
}

// Begin is that of a plan that says nothing: an invented month.
var Begin = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

// broadcast is one of an invented day.
type broadcast struct {
	receiver int
	entry    string // ID of the programme entry; "": it is on no programme
	at       time.Time
	mode     *mode.Mode
	hz       float64 // in the audio
	snr      float64 // dB in 2500 Hz
	silent   bool    // the programme has it, but it does not come
	seed     uint64
	text     string                     // "": any
	sound    func() (mode.Sound, error) // nil: what the mode invents
}

// receivers are the names, each with where it is tuned to, Hz.
var receivers = []struct {
	name   string
	dialHz float64
}{{"north", 3_853_100}, {"west", 7_644_200}, {"south", 13_920_600}}

// Shares of the broadcasts.
const (
	unplanned = 0.2  // are on no programme
	silent    = 0.03 // of the others do not come
)

// entry of a programme.
type entry struct {
	receiver int
	id       string
	minute   int // of the day
	mode     *mode.Mode
	hz       float64
}

// slotMinutes is how long a slot of the day is in which a receiver has one broadcast: it has all of it, and the pause after which the
// next one is another transmission.
func (p Plan) slotMinutes() int { return 24 * 60 / p.A }

// entries are the broadcasts of every day.
func (p Plan) entries() (all []entry) {
	r := rand.New(rand.NewPCG(p.Seed, 1))
	for k := range receivers {
		for slot := range p.A {
			m := modes.All[r.IntN(len(modes.All))]
			e := entry{receiver: k, minute: slot*p.slotMinutes() + 3, mode: m, hz: m.AudioHz}
			if !m.OnlyThere {
				e.hz = math.Round(800 + 1400*r.Float64())
			}
			if r.Float64() >= unplanned {
				e.id = fmt.Sprintf("%s-%02d", receivers[k].name, slot)
			}
			all = append(all, e)
		}
	}
	return all
}

// programme has the entries that are on it.
func (p Plan) programme() (all []programme.Entry) {
	for _, e := range p.entries() {
		if e.id == "" {
			continue
		}
		all = append(all, programme.Entry{
			ID: e.id, Title: titleOf(e.id, e.mode), Times: []programme.Clock{programme.Clock(e.minute)}, Mode: e.mode.Name,
			FrequencyHz: receivers[e.receiver].dialHz + e.hz, Receivers: []string{receivers[e.receiver].name},
		})
	}
	return all
}

func titleOf(id string, m *mode.Mode) string { return fmt.Sprintf("%s of %s", m.Title, id) }

// broadcasts are those of a receiver, in order.
func (p Plan) broadcasts(receiver int) (all []broadcast) {
	r := rand.New(rand.NewPCG(p.Seed, 2+uint64(receiver)))
	entries := slices.DeleteFunc(p.entries(), func(e entry) bool { return e.receiver != receiver })
	for day := range p.Days {
		for _, e := range entries {
			b := broadcast{receiver: receiver, entry: e.id, mode: e.mode, hz: e.hz, seed: r.Uint64()}
			b.at = p.Begin.AddDate(0, 0, day).Add(time.Duration(e.minute)*time.Minute + time.Duration(20*r.Float64()*float64(time.Second)))
			b.snr = 10 + 15*r.Float64()
			b.silent = r.Float64() < silent && e.id != ""
			all = append(all, b)
		}
	}
	slices.SortFunc(all, func(a, b broadcast) int { return cmp.Compare(a.at.UnixNano(), b.at.UnixNano()) })
	return all
}
