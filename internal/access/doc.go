// Package access says who may use the station's page and interface, and keeps away who may not.
//
//	connection ─ Serve ─ connections (how many, how slow), certificate (TLS)
//	      │
//	request ─ Gate.Handler ─ client (proxies) ─ host ─ origin ─ visitor (open, token or session) ─► handler
//	                                                               │
//	          Gate.LogIn ─ limits ─ passwords ─ sessions ──────────┘
//
// The rules in force are a policy, made of a [Config]; [Gate.Change] puts another one in its place, and requests of those that
// have lost their rights end. The package knows nothing of a station: handlers ask [VisitorOf] for the role of who asks.
package access
