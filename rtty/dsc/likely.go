package dsc

import "math"

// likelihood is the log-likelihood of each symbol by what was heard of its elements, against elements of no meaning.
type likelihood [symbols]float32

// of reckons with the log-likelihood ratios of Y over B of ten elements.
func (l *likelihood) of(y *[Units]float32) {
	var info, count [1 << infoUnits]float32 // of the bits, as [Symbol.Code] has them
	doubled(info[:1<<infoUnits], y[:infoUnits])
	doubled(count[:1<<(Units-infoUnits)], y[infoUnits:])
	unknown := float32(0)
	for _, v := range y {
		unknown += either(v)
	}
	for s := range l {
		l[s] = info[s] + count[Symbol(s).Code()>>infoUnits] - unknown
	}
}

// doubled fills the sums of all subsets of the ratios.
func doubled(sums []float32, y []float32) {
	sums[0] = 0
	for i, v := range y {
		for k := range 1 << i {
			sums[k+1<<i] = sums[k] + v
		}
	}
}

// either is the log of the mean of 1 and exp y: the likelihood of an element that may be either.
func either(y float32) float32 {
	return float32(math.Max(float64(y), 0) + math.Log1p(math.Exp(-math.Abs(float64(y)))) - math.Ln2)
}

// add joins another sending.
func (l *likelihood) add(other *likelihood) {
	for s := range l {
		l[s] += other[s]
	}
}

// mean is the log of the mean likelihood of the symbols: the evidence that it is one.
func (l *likelihood) mean() float64 {
	most := l[l.best()]
	sum := 0.0
	for _, v := range l {
		sum += math.Exp(float64(v - most))
	}
	return float64(most) + math.Log(sum/symbols)
}

// best is the likeliest symbol.
func (l *likelihood) best() (best Symbol) {
	for s, v := range l {
		if v > l[best] {
			best = Symbol(s)
		}
	}
	return best
}

// probabilities are those of all symbols, if one is as likely beforehand as another.
func (l *likelihood) probabilities(p *[symbols]float64) {
	mean := l.mean()
	for s, v := range l {
		p[s] = math.Exp(float64(v)-mean) / symbols
	}
}
