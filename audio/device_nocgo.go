//go:build !cgo

package audio

import "errors"

var errNoSound = mended{
	errors.New("this program was built without sound devices"),
	"build it with CGO_ENABLED=1 and a C compiler, or pipe the sound of a recorder into it",
}

func soundDevices() ([]soundDevice, error) { return nil, errNoSound }

func startDevice(string, float64, int) (*deviceFeed, int, error) { return nil, 0, errNoSound }
