// Package quantity reads and writes numbers with their units, as people do: 7878.1 kHz, 90 min, 20 GB.
package quantity
