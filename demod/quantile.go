package demod

import "cmp"

// Quantile returns what x[k] would be if x were sorted, and leaves x partly sorted (C. A. R. Hoare, Algorithm 65: Find,
// Communications of the ACM 4, 1961). x has no NaN.
func Quantile[T cmp.Ordered](x []T, k int) T {
	for from, to := 0, len(x)-1; from < to; {
		pivot, i, j := x[k], from, to
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if j < k {
			from = i
		}
		if k < i {
			to = j
		}
	}
	return x[k]
}
