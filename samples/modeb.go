package samples

import (
	"errors"
	"fmt"

	"ionoscribe/rtty/modeb"
)

// ModeBConfig describes a transmission in mode B; a zero field is the default.
type ModeBConfig struct {
	KeyedConfig
	Text  string       // what to send; required unless Codes is set
	Codes []modeb.Code // sent instead of Text
	// PhasingSeconds of phasing signals come before the text; 2.24 s are the 16 pairs of ITU-R M.625 (from memory). Negative: none.
	PhasingSeconds float64
	// IdleSeconds of idle signals come after it; 2 s (ITU-R M.625, from memory). Negative: none.
	IdleSeconds float64
	AlphaFirst  bool // the phasing signal α is in the DX places
}

const (
	pairSeconds           = 0.14 // a DX and an RX place at 100 Bd
	defaultPhasingSeconds = 16 * pairSeconds
	defaultIdleSeconds    = 2.0
	mostPhasingSeconds    = 3600.0
)

// NewModeB sends in mode B, as [modeb.Encode] and [modeb.Sendings] have it.
func NewModeB(c ModeBConfig) (*Keyed, error) {
	setDefault(&c.PhasingSeconds, defaultPhasingSeconds)
	setDefault(&c.IdleSeconds, defaultIdleSeconds)
	if !(c.PhasingSeconds <= mostPhasingSeconds && c.IdleSeconds <= mostPhasingSeconds) {
		return nil, errors.New("mode B signal: phasing or idle signals for more than an hour")
	}
	if len(c.Codes) == 0 {
		codes, err := modeb.Encode(c.Text)
		if err != nil {
			return nil, err
		}
		c.Codes = codes
	}
	if len(c.Codes) == 0 {
		return nil, errors.New("mode B signal: no text")
	}
	for i, code := range c.Codes {
		if !code.Legal() {
			return nil, fmt.Errorf("mode B signal: code %d, %v, has not four B", i, code)
		}
	}
	pairs := func(seconds float64) int { return int(max(seconds, 0)/pairSeconds + 0.5) }
	var elements []bool
	for _, code := range modeb.Sendings(c.Codes, pairs(c.PhasingSeconds), pairs(c.IdleSeconds), c.AlphaFirst) {
		for i := range modeb.Units {
			elements = append(elements, code>>i&1 == 1)
		}
	}
	return NewKeyed(elements, c.KeyedConfig)
}
