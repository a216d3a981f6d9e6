// Package archive keeps what a station hears: one SQLite database in the station's folder, and the files of charts beside it.
//
//	Begin, Change, Text, SNR, Chart, End, Incident, Expect ─► pending (pending.go) ─► writer (writer.go) ─► archive.db
//	archive.db ─► Reader: Search (query.go, search.go, match.go), transmissions (read.go) ─► Export
//	              └─ Charts, Titles (wall.go), Heard (heard.go), During (during.go), Band (band.go): what pages show
//	Redrawn, RemoveVersion (versions.go): charts that a person had drawn again
//	Keep (keep.go): what is too old goes     Backup, Check     Outbox: alerts     orphans.go: what a killed run left
//
// # Writing
//
// What is heard is told by methods that never wait: they change what is in memory and what is pending. One goroutine, the
// writer, owns the only connection that writes. It commits twice a second what is pending, and what it commits is on the
// disk (PRAGMA synchronous=FULL): a program that is killed, or a machine that loses its power, loses the last second at
// most. Each pending row replaces its predecessor in the database, so that it may be written again after an error: while the
// database is locked, the disk full or the folder read-only, rows stay pending, and are written when it works again.
// The bound is in pending.go; beyond it the oldest text is given up, and counted.
//
// # Reading
//
// Others read through connections of their own, which cannot write. A [Reader] is for those who only read, also while the
// station runs. A line of text can be searched for when it is complete.
//
// # Files
//
//	archive.db, archive.db-wal, archive.db-shm   the database
//	archive.lock                                 held by the program that writes
//	2026/11/27/*.png *.video                     charts, by the day of their beginning, UTC; a chart's versions have one video
//	before-VERSION.db                            a copy of the database from before its schema was changed
package archive
