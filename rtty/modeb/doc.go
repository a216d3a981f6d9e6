// Package modeb receives direct printing in mode B (forward error correction, ITU-R M.476-5 and M.625-4), the code of NAVTEX
// (ITU-R M.540-2) and of weather bulletins on HF. It also has the code itself.
//
//	text → Encode → Sendings → elements on the air → Decoder → Char
//
//	samples → fsk.Front ┬→ fsk.Spectrum → search: pairs of tones, tried at every place that characters may have
//	                    └→ fsk.Channel → receiver: both sendings of a character, joined → printer → Char
//
// Terms. An element lasts 10 ms: B is the higher emitted frequency, Y the lower one. A character is seven elements, of which four
// are B: 35 of 128 patterns. Every character is sent twice, 350 ms apart: first in a DX place, then in an RX place; places
// alternate, so that the air has DX n, RX n-2, DX n+1, RX n-1 and so on. While there is no text yet, DX and RX have the two
// phasing signals.
//
// [Messages] finds NAVTEX messages (ITU-R M.540-2) among characters, and puts together what is sent again:
//
//	Soft → ZCZC … NNNN → preamble → align with what was heard before → join → spell → Message
package modeb
