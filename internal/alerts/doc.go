// Package alerts tells the operator of what he asked to be told.
//
//	Event ─► rules (rule.go) ─► held back? (hold.go) ─► outbox (Store) ─► deliveries (deliver.go) ─► ways out (way.go)
//	           └ text.go: words in a text as it comes; calls.go: call signs and their countries
//
// A Rule has one condition. An [Event] that meets it makes an [Alert], unless the rule's quiet hours or its least interval hold
// it back: then it is counted, and the latest one goes out when the hold ends, with the count of the others.
//
// An alert stands in the [Store] with a [Delivery] for each way out before anything is sent. A delivery is marked as begun
// before it is sent and as delivered afterwards, so that one that was cut short is known; it is tried again, marked as
// repeated. What fails is tried again with growing pauses for a day.
//
// A message is an object of JSON (Message): on a command's input, in a webhook's body, as a payload of MQTT; a mail says the same in
// words. "repeated" says that it may have arrived before, with the same "id"; "held_back" counts alerts of the rule that were not
// sent since the last one. How a webhook is signed is in webhook.go.
//
// [Trial] matches and holds back in the same way what happened before, so that a rule can be tried.
//
// [Alerter.Consider] never waits: it matches and queues. [Alerter.Run] owns the outbox; each way out sends one delivery at a
// time in a goroutine of Run's.
package alerts
