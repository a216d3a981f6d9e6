// Package copydesk copies everything in a passband: it surveys it, and gives each transmission that is found a decoder
// of its own, from its beginning to its end. What comes of that is a stream of events.
//
//	samples → survey ┬→ findings ─────────────→ copies: begun, changed, ended ──────────┐
//	                 └→ ring of the last seconds ─→ each copy: [tuner] → decoder → text ┼→ Stream → listeners
//	                                                                 └→ chart → drawing ┘
//
// A copy begins in the past, where its transmission did: what it has missed it reads from the survey's ring. Audio goes to
// the decoders as it is; of complex samples each copy receives its own tuner, set so that the transmission lies where
// decoders are at their best. Charts are drawn by other goroutines: one with an echo takes as long as forty of its lines.
//
// A program that prints all text in a recording and saves its charts:
//
//	source, err := audio.Open("night.flac", audio.Options{})
//	...
//	stream := new(copydesk.Stream)
//	stream.Listen(func(e copydesk.Event) {
//		switch e.What {
//		case copydesk.Text:
//			fmt.Print(e.Text) // of transmission e.Transmission, at e.At, with e.Confidence
//		case copydesk.Chart:
//			file, _ := os.Create(fmt.Sprintf("chart%d.png", e.Number))
//			png.Encode(file, e.Chart.Image)
//			file.Close()
//		}
//	})
//	desk, err := copydesk.New(copydesk.Config{SampleRate: source.SampleRate()}, stream)
//	...
//	block := make([]float32, 4096)
//	for err == nil {
//		var n int
//		n, err = source.ReadSamples(block)
//		desk.Write(block[:n])
//	}
//	desk.Flush()
package copydesk
