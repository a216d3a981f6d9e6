// Package stationfile reads station.toml, the configuration of a station.
//
//	station.toml ─ go-toml ─► document ─► Config      programme files ─ programme ─┘
//	                 │           └─ where each key stands: Problems have a line and a column
//	                 └─ Watch: again whenever the file changes
package stationfile
