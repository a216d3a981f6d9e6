// Package dsc receives digital selective calling (ITU-R M.493): calls of marine radio that name who calls whom, why, and on what
// frequency to go on, distress alerts among them. On MF and HF they are sent with 100 Bd and tones 170 Hz apart, on VHF with 1200 Bd
// and tones of 1300 and 2100 Hz.
//
//	samples → fsk.Front → finder: pairs of tones → ear: fsk.Channel, phasing signals → call: symbols → decider → Reception
//
// A call is a dot pattern, phasing signals, and symbols of 0 to 127 that are each sent twice in the [Code] of ten elements; see
// [Sendings]. What the symbols mean is told by [Call.Fields]. The tables are given from memory of ITU-R M.493, M.585 and M.821 unless
// their comment names another source.
package dsc
