package cw

// ConductNames name what Observe tells.
var ConductNames = []string{"unsteady", "coherence", "sure", "decay", "misfit", "loose", "dot energy", "rejecting", "evidence"}

// Observe has f told of what the marks of each character are like, until it is called with nil.
func Observe(f func(values []float64)) {
	if observe = nil; f == nil {
		return
	}
	observe = func(c conduct) {
		f([]float64{c.unsteady, c.coherence, c.sure, c.decay, c.misfit, c.loose, c.dotEnergy, c.rejecting, c.evidence()})
	}
}
