// Package web serves the station's page and the JSON interface under /api/ that the page uses.
//
//	request ─ access ─┬─ /api/… ─ a route of a subject's file ─► JSON, pictures, sound, WebSocket
//	                  └─ all else ─ page.go ─► the embedded bundle of page/
//
// Each subject is a file with its routes: charts.go, rules.go, events.go. A handler returns a value, which is written as JSON, or
// an error, which becomes a problem of RFC 9457.
//
// A program that prints what is received, as it comes; with ?after=NUMBER of the last message nothing is missed after a pause:
//
//	c, _, err := websocket.Dial(ctx, "ws://127.0.0.1:8073/api/events", nil) // github.com/coder/websocket
//	for err == nil {
//		var e struct {
//			What, Receiver string
//			Number         int64
//			Chars          [][]any // [["A", 0.93], ...]: a character and its confidence
//		}
//		if err = wsjson.Read(ctx, c, &e); err == nil && e.What == "text" {
//			fmt.Println(e.Number, e.Receiver, e.Chars)
//		}
//	}
package web
