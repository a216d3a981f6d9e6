package cw_test

import (
	"fmt"

	"ionoscribe/cw"
)

func ExampleEncode() {
	symbols, err := cw.Encode("dabc<SK>")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range symbols {
		fmt.Print(s.Pattern, " ")
	}
	fmt.Println()
	fmt.Println(cw.Text(symbols))
	// Output:
	// -.. .- -... -.-. ...-.-
	// DABC<S̅K̅>
}
