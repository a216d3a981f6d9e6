// Package fax is the adapter of radiofax.
package fax

import (
	"image/color"
	"math/rand/v2"

	"ionoscribe/fax"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/scenario"
	"ionoscribe/samples"
)

// Mode is radiofax.
var Mode = &mode.Mode{
	Name:   "fax",
	Title:  "radiofax",
	ADIF:   "FAX",
	Colour: color.RGBA{R: 255, G: 150, B: 205, A: 255},

	Fields: func(s mode.Settings) any {
		f := s.(fax.Settings)
		return fields{f.LPM, f.IOC}
	},
	Differ: func(ordered, sent mode.Settings) bool { return ordered.(fax.Settings).Differ(sent.(fax.Settings)) },

	Shape: mode.Shape{
		CutHz: fax.CentreHz, GapSeconds: 8, Even: true, MarginHz: 60,
		Area: &mode.Area{
			DeviationHz: fax.DeviationHz,
			ReachHz:     470, // black, white and the nearest sidebands
			CutHz:       760,
			OffHz:       160,
			StartHz:     []float64{fax.StartHz576, fax.StartHz288},
			StopHz:      fax.StopHz,
			Announced: func(toneHz float64) mode.Settings {
				if toneHz == fax.StartHz288 {
					return fax.Settings{IOC: 288}
				}
				return fax.Settings{IOC: 576}
			},
			Learn: func(known, heard mode.Settings) mode.Settings {
				k := known.(fax.Settings)
				if h := heard.(fax.Settings); k.LPM == 0 {
					k.LPM = h.LPM
				}
				return k
			},
			Complete: func(s mode.Settings) bool { return s.(fax.Settings).LPM != 0 },
		},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: newDecoder,
	AudioHz:    fax.CentreHz,
	OnlyThere:  true,

	Invent: invent,
	// 2.2 kHz are taken (ITU-R SM.1138), and the next is to be kept away.
	RoomHz: 1700,
	InBand: 1,
}

// fields of settings in JSON.
type fields struct {
	LPM float64 `json:"lpm,omitempty"`
	IOC int     `json:"ioc,omitempty"`
}

// edgeHz is to where sidebands reach that are worth to be kept free.
const edgeHz = 550.0

// offHz is by how much receivers are off tune in invented scenes.
const offHz = 100.0

// mostSeconds is how long an invented chart is: most that are sent take ten minutes or less (common practice).
const mostSeconds = 600.0

func invent(b mode.Brief) (v mode.Invented, err error) {
	r := b.Random
	c := samples.FaxConfig{SampleRate: b.SampleRate, LPM: []float64{60, 120, 120, 120, 240}[r.IntN(5)], IOC: []int{576, 576, 288}[r.IntN(3)],
		CentreHz: samples.DefaultCentreHz + between(r, -offHz, offHz), Inverted: r.IntN(4) == 0, Phasing: samples.Phasing(r.IntN(3)),
		PhasingSeconds: between(r, 10, 25), BlackSeconds: between(r, 2, 10), Amplitude: 1}
	if b.Low == b.High {
		c.CentreHz = b.Low
	}
	seconds := between(r, 20, 35)
	if !b.Short { // start tone, stop tone and their like take 15 s besides
		seconds = min(max(b.Seconds-c.PhasingSeconds-c.BlackSeconds-15, 20), mostSeconds)
	}
	v.Lines = int(seconds * c.LPM / 60)
	c.Picture = scenario.DenseChart(samples.Columns(c.IOC), v.Lines, int64(b.Seed>>1))
	v.Hz, v.Low, v.High, v.Settings = c.CentreHz, c.CentreHz-edgeHz, c.CentreHz+edgeHz, fax.Settings{LPM: c.LPM, IOC: c.IOC}
	v.Sound, err = samples.NewFax(c)
	return v, err
}

func between(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }
