package filing

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/object"
	"ionoscribe/survey"
)

// Source is what is known of a source of samples.
type Source struct {
	Name     string                       // by which events know it
	Path     string                       // what it is read from
	Rate     float64                      // Hz
	Time     func(sample int64) time.Time // UTC
	TimeFrom func() string                // how the time is known
	DialHz   float64                      // where the receiver is tuned to, or the middle of complex samples; 0: not known
	DialFrom string                       // how that is known
	Lower    bool                         // the receiver hears the lower sideband
}

// again says that it can be read again, and its samples have the same times then.
func (s *Source) again() bool { return RecordingPath(s.Path) != "" }

// OnAir is the radio frequency in Hz of what is heard at hz, if the dial is known.
func (s *Source) OnAir(hz float64) float64 {
	switch {
	case s.DialHz == 0:
		return hz
	case s.Lower:
		return s.DialHz - hz
	}
	return s.DialHz + hz
}

// frequency is that on the air in kHz, if it is known, or in the audio in Hz.
func (s *Source) frequency(hz float64, space string) string {
	if s.DialHz == 0 {
		return fmt.Sprintf("%.0f%sHz", hz, space)
	}
	return fmt.Sprintf("%.2f%skHz", s.OnAir(hz)/1000, space)
}

// name is that of the source in the names of files: letters, figures, dots and hyphens.
func (s *Source) name() string {
	name := s.Path
	switch {
	case name == "-":
		name = "stdin"
	case !strings.Contains(name, ":"):
		name = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	plain := strings.FieldsFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.')
	})
	const most = 40
	name = strings.Trim(strings.Join(plain, "-"), ".")
	return name[:min(len(name), most)]
}

// FileName is that of a transmission's text, without suffix; names sort by time.
func (s *Source) FileName(f survey.Finding) string {
	return s.named(s.Time(f.Begin), f, string(f.Kind))
}

// ChartName is that of a chart.
func (s *Source) ChartName(i chartfile.Info, f survey.Finding) string {
	return s.named(i.Start, f, fmt.Sprintf("%v-%.0f-%d", f.Kind, i.LPM, i.IOC))
}

func (s *Source) named(begin time.Time, f survey.Finding, what string) string {
	return strings.TrimSuffix(fmt.Sprintf("%s_%s_%s_%s", begin.UTC().Format("20060102T150405Z"), s.frequency(f.Hz, ""), what, s.name()), "_")
}

// settings are those of a finding, on the air if the dial is known; m is nil for what is of no mode.
func (s *Source) settings(f survey.Finding) (v mode.Settings, m *mode.Mode) {
	m = mode.Find(modes.All, string(f.Kind))
	if m == nil || f.Settings == nil {
		return nil, nil
	}
	v = f.Settings
	if s.DialHz != 0 && s.Lower && m.Reversed != nil {
		v = m.Reversed(v)
	}
	return v, m
}

// Details are the settings of a finding in words.
func (s *Source) Details(f survey.Finding) string {
	if v, m := s.settings(f); m != nil {
		return v.String()
	}
	if f.Kind == survey.Other {
		return fmt.Sprintf("%.0f Hz wide", math.Abs(f.HighHz-f.LowHz))
	}
	return ""
}

// title is the first line of a text's file: when, where, what and from where.
func (s *Source) title(f survey.Finding) string {
	return fmt.Sprintf("%s  %s  %v, %s  %s", stamp(s.Time(f.Begin)), s.frequency(f.Hz, " "), f.Kind, s.Details(f), s.Name)
}

// Finding is a JSON object of a finding.
type Finding struct {
	Source     string  `json:"source"`
	Kind       string  `json:"kind"`
	Begin      string  `json:"begin_utc"`
	End        string  `json:"end_utc"`
	TimeFrom   string  `json:"time_from"` // how the time of the recording is known
	DialFrom   string  `json:"dial_from,omitempty"`
	Seconds    float64 `json:"begin_seconds"` // from the first sample of the source
	Length     float64 `json:"length_seconds"`
	Hz         float64 `json:"hz"`
	LowHz      float64 `json:"low_hz"`
	HighHz     float64 `json:"high_hz"`
	SNR        float64 `json:"snr_db"`
	Confidence float64 `json:"confidence"`
	Settings   any     `json:"-"` // a struct of the settings, on the air if the dial is known; nil: of no mode
}

// MarshalJSON has the settings among the other fields.
func (f Finding) MarshalJSON() ([]byte, error) {
	type plain Finding
	return object.Join(plain(f), f.Settings)
}

// Finding tells of a finding in the source.
func (s *Source) Finding(f survey.Finding) Finding {
	const form = "2006-01-02T15:04:05.0Z"
	begin, end := s.Time(f.Begin).UTC(), s.Time(f.End).UTC()
	low, high := s.OnAir(f.LowHz), s.OnAir(f.HighHz)
	r := Finding{
		Source: s.Name, Kind: string(f.Kind), Begin: begin.Format(form), End: end.Format(form), TimeFrom: s.TimeFrom(), DialFrom: s.DialFrom,
		Seconds: tenths(float64(f.Begin) / s.Rate), Length: tenths(end.Sub(begin).Seconds()),
		Hz: tenths(s.OnAir(f.Hz)), LowHz: tenths(min(low, high)), HighHz: tenths(max(low, high)), SNR: tenths(f.SNR),
		Confidence: math.Round(f.Confidence*100) / 100,
	}
	if v, m := s.settings(f); m != nil {
		r.Settings = m.Fields(v)
	}
	return r
}

func tenths(x float64) float64 { return math.Round(x*10) / 10 }
