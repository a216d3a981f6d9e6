package dsc

import (
	"fmt"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/dsc"
)

// newDecoder makes a decoder that tells all calls, of what c orders and o says besides.
func newDecoder(c dsc.Config, o mode.Order, t mode.Told) (*dsc.Decoder, error) {
	c.SampleRate = o.SampleRate
	if o.Hz != 0 {
		c.CentreHz = o.Hz
	}
	var e dsc.Events
	if t.Text != nil {
		e.Call = func(r dsc.Reception) {
			t.Text(mode.Heard{At: r.At, Hz: r.State.CentreHz, Text: line(&r), Confidence: r.Sure, Fields: callFieldsOf(&r)})
		}
	}
	if t.State != nil {
		e.State = func(s dsc.State) {
			if s.Receiving { // that each call ends is no news
				t.State(heardState(s))
			}
		}
	}
	return dsc.New(c, e)
}

// caution is said of each distress call.
const caution = "only an approved receiver and the authorities count"

// doubtfulBelow is the probability below which a symbol of a call that failed is not shown.
const doubtfulBelow = 0.9

// line is a call as it is printed; a distress call stands out.
func line(r *dsc.Reception) string {
	switch {
	case r.OK && r.Call.Distress():
		return "!! " + r.Call.String() + " (" + caution + ")\n"
	case r.OK:
		return r.Call.String() + "\n"
	}
	return "failed call, of which nothing is certain: " + symbols(r) + "\n"
}

// symbols are those of a call, "??" for the doubtful ones.
func symbols(r *dsc.Reception) string {
	if len(r.Call.Symbols) == 0 {
		return "its end was not heard"
	}
	var all []string
	for i, s := range r.Call.Symbols {
		if r.Confidence[i] < doubtfulBelow {
			all = append(all, "??")
		} else {
			all = append(all, fmt.Sprint(s))
		}
	}
	return "symbols " + strings.Join(all, " ")
}

// callFields are what JSON has of a call.
type callFields struct {
	Call struct {
		OK      bool              `json:"ok"` // it passes all checks
		Sure    float64           `json:"confidence"`
		Parts   map[string]string `json:"parts,omitempty"` // in words, if it passes
		Symbols []int             `json:"symbols"`
		End     dsc.Symbol        `json:"end"`
		Caution string            `json:"caution,omitempty"`
	} `json:"call"`
}

func callFieldsOf(r *dsc.Reception) (f callFields) {
	c := &f.Call
	c.OK, c.Sure, c.End = r.OK, rounded(r.Sure, 1e6), r.Call.End
	for _, s := range r.Call.Symbols {
		c.Symbols = append(c.Symbols, int(s))
	}
	if !r.OK {
		return f
	}
	parts, _ := r.Call.Fields()
	c.Parts = map[string]string{}
	for _, p := range parts {
		c.Parts[p.Name] = p.Value
	}
	if r.Call.Distress() {
		c.Caution = caution
	}
	return f
}

// stateFields are what JSON has of a state.
type stateFields struct {
	fields
	SNR float64 `json:"snr_db"`
}

func heardState(s dsc.State) mode.Heard {
	return mode.Heard{
		At: s.At, Hz: s.CentreHz, Settings: s.Settings,
		Words:  fmt.Sprintf("%6.1f Hz  B %s  %5.1f dB", s.CentreHz, s.Settings.B(), s.SNR),
		Fields: stateFields{fieldsOf(s.Settings), rounded(s.SNR, 10)},
	}
}
