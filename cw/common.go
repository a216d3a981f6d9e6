package cw

import "ionoscribe/demod/narrow"

// common is what all tracks of a decoder share.
type common struct {
	config    Config
	recent    recent
	spectrum  *spectrum
	budget    budget
	rejected  rejections
	tones     tones
	bank      *bank
	posterior *posterior
	output    output
	tracks    []*track
	chosen    *track // track that is printed, if only one signal is wanted; nil: none yet
}

func newCommon(c Config, e Events, k *clock) *common {
	s := &common{
		config: c, recent: recent{samples: make([]complex64, historyLength)}, spectrum: &spectrum{Spectrum: narrow.New()}, bank: newBank(),
		posterior: newPosterior(), output: output{events: e, clock: k}, budget: budget{signals: c.Signals},
	}
	s.budget.reset()
	s.tones.spectrum, s.tones.recent = s.spectrum, &s.recent
	return s
}

// reset forgets all signals.
func (c *common) reset() {
	c.recent.end = 0
	c.spectrum.Reset()
	c.spectrum.peaks = nil
	c.budget.reset()
	c.rejected = rejections{}
	c.output.signals = 0
	c.tracks, c.chosen = c.tracks[:0], nil
}
