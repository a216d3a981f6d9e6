package samples

import "ionoscribe/rtty/dsc"

// DSCConfig describes a call of digital selective calling; a zero field is the default. VHF makes Baud, CentreHz and ShiftHz those of
// VHF unless they are set.
type DSCConfig struct {
	KeyedConfig
	Call dsc.Call // required
	VHF  bool
	// Dots is the number of elements of the dot pattern; zero: 200, and 20 on VHF (ITU-R M.493, from memory). Negative: none.
	Dots int
}

// NewDSC sends a call, as [dsc.Elements] has it.
func NewDSC(c DSCConfig) (*Keyed, error) {
	if _, err := c.Call.Fields(); err != nil {
		return nil, err
	}
	if c.VHF {
		setDefault(&c.Baud, dsc.VHFBaud)
		setDefault(&c.ShiftHz, dsc.VHFShiftHz)
		setDefault(&c.CentreHz, dsc.VHFCentreHz)
	}
	if c.Dots == 0 {
		c.Dots = dsc.LongDots
		if c.VHF {
			c.Dots = dsc.ShortDots
		}
	}
	return NewKeyed(dsc.Elements(c.Call, max(c.Dots, 0)), c.KeyedConfig)
}
