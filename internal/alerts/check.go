package alerts

import (
	"fmt"
	"slices"
	"strings"

	"ionoscribe/internal/nearest"
)

// Fault is something wrong with a rule or a way out. Key is the one in its table of the configuration that it is about; "": the
// table.
type Fault struct {
	Key, Message, Mend string
}

// What conditions may ask for.
var (
	programmeWhats = []What{EntryCame, EntryMissed, EntryPoor}
	receiverWhats  = []What{Silent, Overloaded, Disconnected, ClockRuns}
	stationWhats   = []What{DiskFull, NotKept, TuneFailed}
)

// Check gives what is wrong with a rule; ways are the names of the ways out that there are.
func (r *Rule) Check(ways []string) []Fault {
	var faults []Fault
	fault := func(key, mend, message string, args ...any) {
		faults = append(faults, Fault{key, fmt.Sprintf(message, args...), mend})
	}
	if r.Name == "" {
		fault("name", "give it one", "a rule has no name")
	}
	switch c := r.conditions(); {
	case len(c) == 0:
		fault("", "add one of "+strings.Join(conditionKeys, ", "), "the rule has no condition")
	case len(c) > 1:
		fault(c[1], "make a rule of each", "the rule has more than one condition: %s", strings.Join(c, ", "))
	}
	for _, s := range r.Text {
		if _, err := compile(s); err != nil {
			fault("text", "write words, with ? for a character and * for any number of them", "%v", err)
		}
	}
	for _, s := range r.Calls {
		if !callPattern.MatchString(s) {
			fault("calls", "write letters and figures, with ? for one of them and * for any number", "%q is no pattern of call signs", s)
		}
	}
	names := Countries()
	for _, s := range r.Countries {
		if !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, s) }) {
			mend := nearest.DidYouMean(s, names)
			if mend == "" {
				mend = "write its short English name"
			}
			fault("countries", mend, "no call signs are known of a country with the name %q", s)
		}
	}
	whats := func(key string, is, may []What) {
		for _, w := range is {
			if !slices.Contains(may, w) {
				fault(key, "there are "+listed(may), "%q is unknown", w)
			}
		}
	}
	whats("programme", r.Programme, programmeWhats)
	whats("receiver", r.Receiver, receiverWhats)
	whats("station", r.Station, stationWhats)
	if s := r.Signal; s != nil && !(s.FromHz >= 0 && s.FromHz < s.ToHz) {
		fault("signal", "from_hz must be below to_hz", "the range of frequencies from %g to %g Hz is empty", s.FromHz, s.ToHz)
	}
	if len(r.Ways) == 0 {
		fault("ways", "name at least one of "+listed(ways), "the rule has no way out")
	}
	for i, w := range r.Ways {
		if !slices.Contains(ways, w) {
			fault("ways", "there are "+listed(ways), "there is no way out with the name %q", w)
		}
		if slices.Contains(r.Ways[:i], w) {
			fault("ways", "name it once", "the way out %q is named twice", w)
		}
	}
	if loud := slices.ContainsFunc(everyMinute(), func(m int) bool { return !isQuiet(r.Quiet, m) }); !loud {
		fault("quiet", "leave some time of the day free, or remove the rule", "the quiet hours are the whole day")
	}
	if r.LeastInterval < 0 {
		fault("least_interval", "write it like \"10m\"", "the least interval is negative")
	}
	return faults
}

func everyMinute() []int {
	all := make([]int, dayMinutes)
	for i := range all {
		all[i] = i
	}
	return all
}

var conditionKeys = []string{"text", "calls", "countries", "programme", "signal", "receiver", "station"}

// conditions are the keys of the conditions that a rule has.
func (r *Rule) conditions() []string {
	has := []bool{
		len(r.Text) > 0, len(r.Calls) > 0, len(r.Countries) > 0, len(r.Programme) > 0, r.Signal != nil, len(r.Receiver) > 0,
		len(r.Station) > 0,
	}
	var keys []string
	for i, key := range conditionKeys {
		if has[i] {
			keys = append(keys, key)
		}
	}
	return keys
}

// about is what alerts of a rule may tell of.
func (r *Rule) about() What {
	for _, w := range [][]What{r.Programme, r.Receiver, r.Station} {
		if len(w) > 0 {
			return w[0]
		}
	}
	if r.Signal != nil {
		return SignalBegan
	}
	return SignalText
}

func listed[S ~string](names []S) string {
	if len(names) == 0 {
		return "none"
	}
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = fmt.Sprintf("%q", string(n))
	}
	return strings.Join(quoted, ", ")
}
