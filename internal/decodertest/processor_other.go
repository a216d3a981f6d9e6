//go:build !unix

package decodertest

import "time"

var began = time.Now()

// processorSeconds is the time that has passed, as there is no other that is known everywhere.
func processorSeconds() float64 { return time.Since(began).Seconds() }
