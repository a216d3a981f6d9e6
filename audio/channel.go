package audio

import (
	"fmt"
	"strconv"
)

// mixAll stands for the mean of all channels where the index of one is expected.
const mixAll = -1

// pickChannel gives the index from 0 of the channel named by an order, or mixAll.
func pickChannel(order string, channels int) (int, error) {
	n := 0
	switch order {
	case "", "left":
		n = 1
	case "right":
		n = 2
	case "mix":
		return mixAll, nil
	default:
		var err error
		if n, err = strconv.Atoi(order); err != nil || n < 1 {
			return 0, mended{fmt.Errorf("unknown channel %q", order), "give left, right, mix, or a number from 1"}
		}
	}
	if n > channels {
		return 0, mended{fmt.Errorf("channel %q is not among its %d", order, channels), "leave out --channel to read the first"}
	}
	return n - 1, nil
}
