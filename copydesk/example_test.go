package copydesk_test

import (
	"fmt"

	"ionoscribe/audio"
	"ionoscribe/copydesk"
)

// All text in a recording.
func Example() {
	source, err := audio.Open("../audio/testdata/bulletin.wav", audio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer source.Close()
	stream := new(copydesk.Stream)
	stream.Listen(func(e copydesk.Event) {
		switch e.What {
		case copydesk.Began:
			fmt.Printf("%v: %v\n", e.Finding.Kind, e.Finding.Settings)
		case copydesk.Text:
			fmt.Print(e.Text)
		}
	})
	desk, err := copydesk.New(copydesk.Config{SampleRate: source.SampleRate()}, stream)
	block := make([]float32, 4096)
	for err == nil {
		var n int
		n, err = source.ReadSamples(block)
		desk.Write(block[:n])
	}
	desk.Flush()
	// Output:
	// rtty: 45.45 Bd, shift 169 Hz, mark lower, ITA2
	// GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9
}
