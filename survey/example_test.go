package survey_test

import (
	"fmt"

	"ionoscribe/audio"
	"ionoscribe/rtty"
	"ionoscribe/survey"
)

// What is in a recording.
func Example() {
	source, err := audio.Open("../audio/testdata/bulletin.wav", audio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer source.Close()
	s, err := survey.New(survey.Config{SampleRate: source.SampleRate()}, survey.Events{
		Ended: func(f survey.Finding) {
			fmt.Printf("%v near %.0f Hz: %v\n", f.Kind, f.Hz, f.Settings)
			if r, ok := f.Settings.(rtty.Settings); ok {
				fmt.Printf("%.2f Bd\n", r.Baud)
			}
		},
	})
	block := make([]float32, 4096)
	for err == nil {
		var n int
		n, err = source.ReadSamples(block)
		s.Write(block[:n])
	}
	s.Flush()
	// Output:
	// rtty near 2210 Hz: 45.45 Bd, shift 169 Hz, mark lower, ITA2
	// 45.45 Bd
}
