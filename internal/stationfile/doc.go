// Package stationfile reads and edits station.toml, the configuration of a station.
//
//	station.toml ─ go-toml ─► document ─► Config      programme files ─ programme ─┘
//	                 │           └─ where each key stands: Problems have a line and a column
//	                 └─ Watch: again whenever the file changes
//
//	edit (edit.go) ─► blocks: where tables and keys stand ─► splices (layout.go) ─► Edited: checked as Load does, then written
package stationfile
