// Package mode says what the program must know of a mode. A [Mode] is an adapter: what finds, copies, sends and grades
// transmissions walks a list of them and knows no mode by name.
//
//	Shape, NewJudge ─► survey: where one may be, and whether it is one
//	NewDecoder ──────► copy desk, command that receives
//	Invent ──────────► busy bands, scenes to be surveyed
//	Text ────────────► commands that receive, send and grade
package mode
