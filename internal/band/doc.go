// Package band invents busy bands, to try out what finds and copies all that is in one.
//
//	Config ─ New: who sends what, where, when ─► Plan ─ Scene ─► samples.IQScene
//
// A plan is a function of its configuration and seed alone. Texts, charts and stations are invented.
package band
