package audio_test

import (
	"fmt"

	"ionoscribe/audio"
	"ionoscribe/rtty"
)

// A recording becomes text. The path may be a live source too, such as device:default.
func Example() {
	source, err := audio.Open("testdata/bulletin.wav", audio.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer source.Close()
	for c, err := range rtty.All(source, rtty.Config{}) {
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Print(string(c.Rune))
	}
	// Output: GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9
}
