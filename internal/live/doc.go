// Package live tells pages and programs what is on the air now, as it comes.
//
//	station.News ─► hub.go ─┬► state: transmissions under way, the ends of their texts, charts as far as they have come (lines.go) ─► Now
//	                        └► news.go: numbered messages ─► history.go ─┐
//	station.Tap ─► tap.go ─┬► spectrum.go ─► rows (row.go) ──────────────┼► client.go: a bounded queue each ─► a WebSocket
//	                       │  status of receivers, each second: levels ──┘  (receivers.go)
//	                       └► listen.go: a bounded queue a listener ─► passband.go ─► audio of 12 kHz
//	layout.go: how the bins of a spectrum, and passbands, lie on the air
//
// News and samples come from goroutines that receive, so nothing here waits for a client: one that does not keep up loses rows and
// levels, which the next ones replace, and is closed when it does not keep up with messages; it can come back and go on with the
// message after the last one that it has. Numbers of messages begin with the time of the start in milliseconds, so that those of an
// earlier run are known as such.
package live
