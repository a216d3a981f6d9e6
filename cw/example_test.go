package cw_test

import (
	"fmt"

	"ionoscribe/cw"
)

func ExampleEncode() {
	symbols, err := cw.Encode("da<SK>")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range symbols {
		fmt.Println(s.Text, s.Pattern)
	}
	// Output:
	// D -..
	// A .-
	// <S̅K̅> ...-.-
}
