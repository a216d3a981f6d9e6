package rtty

import "ionoscribe/demod/fsk"

// channel receives one pair of tones at one rate, for one or more kinds of characters.
type channel struct {
	fsk.Channel
	trellis []*trellis
}

// kind is what a trellis looks for.
type kind struct {
	alphabet Alphabet
	inverted bool // mark is the second tone
}

// listen takes a block of the wide baseband.
func (c *channel) listen(z []complex64, weight []float32) {
	c.Listen(z, weight)
	for _, r := range c.trellis {
		r.advance(&c.Levels)
	}
}
