package audio

import (
	"bufio"
	"errors"
	"io"
	"math"
)

// W64 (Sony Pictures Digital, Sony Wave64, from memory; the files in testdata, made by two other tools, confirm it) is
// WAV with names of 16 bytes and sizes of 64 bits, which count name and size themselves; content is filled up to a
// multiple of 8 bytes:
//
//	"riff"+tail size64 "wave"+guid  { id[16] size64 content }...
const (
	w64Riff = "riff\x2e\x91\xcf\x11\xa5\xd6\x28\xdb\x04\xc1\x00\x00"
	w64Tail = "\xf3\xac\xd3\x11\x8c\xd1\x00\xc0\x4f\x8e\xdb\x8a"
)

func (s *Source) openW64(br *bufio.Reader, in input, o Options) error {
	h, err := readW64Header(br)
	if err != nil {
		return headerError(err, "W64")
	}
	return s.openWave(br, h, in, o)
}

func readW64Header(r *bufio.Reader) (h wavHeader, err error) {
	var b [40]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return h, err
	}
	if string(b[:16]) != w64Riff || string(b[24:]) != "wave"+w64Tail {
		return h, mended{errors.New("begins like W64 but is none"), "convert it to WAV"}
	}
	c := chunks{r: r, offset: 40, layout: w64Chunks}
	err = c.walk(func(id string, size uint64) error {
		switch id {
		case "fmt " + w64Tail:
			return h.readFormat(&c)
		case "data" + w64Tail:
			if size >= math.MaxInt64-openMargin {
				size = 0
			}
			return h.samples(&c, size)
		}
		return nil
	})
	return h, err
}
