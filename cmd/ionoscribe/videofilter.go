package main

import (
	"fmt"
	"strconv"
	"strings"

	"ionoscribe/samples"
)

// videoFilterUsage is that of --video-filter.
var videoFilterUsage = "`SHAPE,HZ` of the transmitter's low-pass for the brightness, 6 dB down at its edge if raised-cosine, else 3 dB: " +
	strings.Join(samples.VideoShapes(), ", ")

// videoFilter reads the argument of --video-filter; an empty one is no filter.
func videoFilter(arg string) (v samples.VideoFilter, err error) {
	if arg == "" {
		return v, nil
	}
	shape, edge, _ := strings.Cut(arg, ",")
	hz, err := strconv.ParseFloat(edge, 64)
	if err != nil {
		return v, usageError{fmt.Errorf("--video-filter %q is not of the form SHAPE,HZ", arg)}
	}
	return samples.VideoFilter{Shape: shape, Hz: hz}, nil
}
