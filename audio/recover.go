package audio

import "fmt"

// recoverAny turns a panic of a library over hostile bytes into an error.
func recoverAny(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("cannot be decoded: %v", p)
	}
}
