package cw

// ConductNames name the statistics that Conducts returns.
var ConductNames = []string{"unsteady", "coherence", "sure", "decay", "misfit", "loose", "dot energy", "rejecting", "evidence"}

// Conducts writes samples to d and returns the mark statistics of its signals: those when a hop of the band had decided
// characters, with the mean confidence for that of the last character.
func Conducts(d *Decoder, x []float32) (rows [][]float64) {
	done := map[*track]int64{}
	block := int(hopSeconds * d.clock.rate)
	for len(x) > 0 {
		n := min(block, len(x))
		d.Write(x[:n])
		x = x[n:]
		for _, t := range d.band.tracks {
			last := t.copier.done
			if !t.locked || last < 0 || done[t] == last {
				continue
			}
			done[t] = last
			c := t.copier.conduct(copied{found: found{end: last}, sure: t.copier.trust}, d.band.rejected.count(d.band.recent.end))
			rows = append(rows, []float64{
				c.unsteady, c.coherence, c.sure, c.decay, c.misfit, c.loose, c.dotEnergy, c.rejecting, c.evidence(),
			})
		}
	}
	return rows
}
