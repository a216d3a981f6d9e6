// Package survey finds the transmissions in a passband: when and where each is, of what kind, and with what settings a
// decoder would receive it.
//
//	samples → ring ───────────────────────┐            looking
//	        └→ frames → mean spectrum, floor │
//	                       │      │   │      │
//	                     lines  areas │     cut → judge    judging, within a budget of work
//	                       └──┬───┘   │      │
//	         control tones, pairs, keying, phases ─→ open  searching
//	                                  │              │
//	                                gauge ─→ tracks: begin, follow, end → events
//
// The files, in the order in which samples go through them:
//
//   - looking: ring, frames, spectrum; and cut, envelope, keying, which look at one candidate;
//   - judging: budget, judging;
//   - tracking: controltone, meanspectrum, track, measure; tracks and tones, which say what is known, and lines, what is not;
//     gauge, which says whether a track is there; trim, again, among, follow;
//   - searching: area; seeker, comb and seek for what fills a range; trial, phase, keyed, pair, classify for lines;
//   - the picture: picture, canvas, names, draw;
//   - survey, which has samples go through all of them.
//
// A program that lists what is in a recording:
//
//	source, err := audio.Open("night.flac", audio.Options{})
//	...
//	s, err := survey.New(survey.Config{SampleRate: source.SampleRate()}, survey.Events{
//		Ended: func(f survey.Finding) { fmt.Printf("%v at %.0f Hz, %v\n", f.Kind, f.Hz, f.Settings) },
//	})
//	...
//	block := make([]float32, 4096)
//	for err == nil {
//		var n int
//		n, err = source.ReadSamples(block)
//		s.Write(block[:n])
//	}
//	s.Flush()
//
// # Terms
//
// A frame is the power spectrum of some 0.17 s, weighed against crashes of static; its lines are called bins. A
// line is a frequency that stands out of its neighbours for some seconds, an area a range that does in which nothing
// else stands out. A cut is a stretch of the past that holds one candidate alone: everything else in it is replaced by white
// noise as strong as that around the candidate, so that the decoders that judge it meet what they are made for. A
// track is what was found, followed from its beginning, which is looked for in the past, to its end.
//
// Frequencies are in Hz, those of audio from 0, those of complex samples from the middle of the band, negative ones
// too. Times are sample indices counted from the first sample written. Power densities are those of both sides of the
// spectrum, so that real and complex samples are alike.
package survey
