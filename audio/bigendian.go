package audio

import (
	"encoding/binary"
	"math"
)

// The encodings of AIFF and of the network: highest byte first, and 8 bits with a sign.

func decodeS8(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int8(src[i*stride])) * (1.0 / 128)
	}
}

func decodeS16BE(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int16(binary.BigEndian.Uint16(src[i*stride:]))) * (1.0 / (1 << 15))
	}
}

func decodeS24BE(dst []float32, src []byte, stride int) {
	for i := range dst {
		b := src[i*stride:][:3]
		v := int32(uint32(b[2])<<8 | uint32(b[1])<<16 | uint32(b[0])<<24) // sign at the top
		dst[i] = float32(v) * (1.0 / (1 << 31))
	}
}

func decodeS32BE(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = float32(int32(binary.BigEndian.Uint32(src[i*stride:]))) * (1.0 / (1 << 31))
	}
}

func decodeF32BE(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = sane(math.Float32frombits(binary.BigEndian.Uint32(src[i*stride:])))
	}
}

func decodeF64BE(dst []float32, src []byte, stride int) {
	for i := range dst {
		dst[i] = sane(float32(math.Float64frombits(binary.BigEndian.Uint64(src[i*stride:]))))
	}
}
