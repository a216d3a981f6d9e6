package rtty_test

import (
	"fmt"

	"ionoscribe/rtty"
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
