// Package stationfile reads station.toml, the configuration of a station, and changes it.
//
//	station.toml ─ go-toml ─► document ─► Config      programme files ─ programme ─┘
//	                 │           └─ where each key stands: Problems have a line and a column
//	                 └─ Watch: again whenever the file changes
//
//	Draft ─ document: where sections and pairs stand ─► edit: the parts of the text that change ─► checked, and put in its place
package stationfile
