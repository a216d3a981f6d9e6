package demod

// Vertex is where the parabola through three neighbours has its top, from the middle one in distances between them: at most a half, if
// that is the greatest; 0 if there is no top. Of spectra take the logarithms.
func Vertex(a, b, c float64) float64 {
	if d := a - 2*b + c; d < 0 {
		return (a - c) / (2 * d)
	}
	return 0
}
