// Package station keeps watch: it copies what its receivers hear, day and night, and keeps it.
//
//	source ─ receiver ─► copydesk ─ events ─► journal ─┬► archive: what was heard            └► sound ring
//	            │                                      ├► diary: which broadcast it was
//	            │                                      ├► saver: charts, in a goroutine of its own
//	            └─ again when it fails                 └► alerts
//	every ten seconds: rounds ─► what was missed, receivers that are ill, disk, retention, tuning
//	health, metrics ◄── Status
//
// Each receiver is a goroutine: one that fails is opened again with growing pauses, and others do not notice. Nothing that
// hears events waits for a disk or a network. Times are those of the samples; rounds go by the clock that Options has, so
// that a month can be heard in an hour.
package station
