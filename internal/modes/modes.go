// Package modes lists the adapters of all modes.
package modes

import (
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes/cw"
	"ionoscribe/internal/modes/dsc"
	"ionoscribe/internal/modes/fax"
	"ionoscribe/internal/modes/navtex"
	"ionoscribe/internal/modes/psk31"
	"ionoscribe/internal/modes/rtty"
)

// All are in the order of their bandwidths.
var All = []*mode.Mode{
	psk31.Mode,
	cw.Mode,
	dsc.Mode,
	navtex.Mode,
	rtty.Mode,
	fax.Mode,
}
