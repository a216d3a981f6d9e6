package rtty_test

import (
	"fmt"
	"strings"

	"ionoscribe/demod"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// Codes as elements in the order in which they are sent, and what each prints.
func Example() {
	codes, err := rtty.Encoder{}.Encode("GALE 9")
	if err != nil {
		fmt.Println(err)
		return
	}
	printer := rtty.Printer{Alphabet: rtty.ITA2}
	for _, c := range codes {
		for i := range printer.Alphabet.Units() {
			fmt.Print(c >> i & 1)
		}
		if r := printer.Print(c); r != 0 {
			fmt.Printf(" %q", r)
		}
		fmt.Println()
	}
	// Output:
	// 11111
	// 01011 'G'
	// 11000 'A'
	// 01001 'L'
	// 10000 'E'
	// 00100 ' '
	// 11011
	// 00011 '9'
}

// Two transmissions with a pause between them; nothing is ordered.
func ExampleAll() {
	var parts []demod.SampleReader
	for _, text := range []string{"GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9", "THE NEXT BULLETIN FOLLOWS AT 1200 UTC"} {
		sent, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: 12000})
		if err != nil {
			fmt.Println(err)
			return
		}
		parts = append(parts, sent, samples.Silence(12000, 10))
	}
	recording, err := samples.Concat(parts...)
	if err != nil {
		fmt.Println(err)
		return
	}
	var texts []string
	for c, err := range rtty.All(recording, rtty.Config{}) {
		if err != nil {
			fmt.Println(err)
			return
		}
		if c.First {
			texts = append(texts, "")
		}
		texts[len(texts)-1] += string(c.Rune)
	}
	fmt.Println(strings.Join(texts, "\n"))
	// Output:
	// GALE WARNING OSTREL SEA WIND SW 8 BACKING S 9
	// THE NEXT BULLETIN FOLLOWS AT 1200 UTC
}
