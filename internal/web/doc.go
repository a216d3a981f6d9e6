// Package web serves the station's page and the JSON interface under /api/ that the page uses.
//
//	request ─ access ─┬─ /api/… ─ a route of a subject's file ─► JSON, pictures, sound, WebSocket
//	                  └─ all else ─ page.go ─► the embedded bundle of page/
//
// Each subject is a file with its routes: charts.go, rules.go, events.go. A handler returns a value, which is written as JSON, or
// an error, which becomes a problem of RFC 9457.
package web
