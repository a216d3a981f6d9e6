package audio

import "encoding/binary"

// mp3Reservoir is how far back a frame can refer to the main data of those before it (9 bits).
const mp3Reservoir = 511

// mp3Whole makes frames that refer to none before them, of those that the library takes for something else:
//
//   - it knows no version 2.5. At 11.025 and 12 kHz that differs from version 2 at 16 kHz in nothing but the size of the
//     frames (their bands are the same: the files of lame and ffmpeg in testdata confirm it);
//   - at 22.05 kHz, where half of the frames are a byte longer, it loses this byte at every second bit rate.
//
// The bytes that a frame needs are copied behind its side information, and the bit rate says that there is room.
type mp3Whole struct {
	kept  []byte // the last main data
	frame []byte
}

// needed tells whether frames of a stream are to be made anew.
func (h mp3Header) needsWhole() bool { return h.version == 25 || h.rate == 22050 }

// make makes a frame anew; nothing if it refers to what is missing, or has no room.
func (w *mp3Whole) make(h mp3Header, frame []byte) []byte {
	begin, n := h.mainData(frame)
	own := frame[len(frame)-n:]
	ok := begin <= len(w.kept)
	main := append(w.frame[:0], w.kept[len(w.kept)-min(begin, len(w.kept)):]...)
	main = append(main, own...)
	w.frame = main
	side := frame[h.side():][:h.sideSize()]
	out := make([]byte, 0, 1024)
	if need := (h.mainBits(side) + 7) / 8; ok && need <= len(main) {
		out = h.anew(out, side, main[:need])
	}
	w.kept = append(w.kept, own...)
	w.kept = w.kept[:copy(w.kept, w.kept[max(len(w.kept)-mp3Reservoir, 0):])]
	return out
}

// mainBits is the length of the main data that belong to a frame of version 2: for each channel 12 bits tell it, in 63
// bits that follow the 8 of the reference and one or two of no meaning (ISO/IEC 13818-3 section 2.4.1.7).
func (h mp3Header) mainBits(side []byte) (n int) {
	for c := range h.channels {
		at := 8 + h.channels + 63*c
		v := uint32(side[at/8])<<16 | uint32(side[at/8+1])<<8 | uint32(side[at/8+2])
		n += int(v << (at % 8) >> 12 & 0xFFF)
	}
	return n
}

// anew appends a frame of version 2; nothing if there is no bit rate that has room for it.
func (h mp3Header) anew(out, side, main []byte) []byte {
	rate := 0 // 22.05 kHz
	if h.version == 25 {
		rate = 2 // 16 kHz
	}
	for bitrate := 1; bitrate < 15; bitrate++ {
		size := 144 * 1000 * mp3Rates[1][bitrate] / [...]int{22050, 24000, 16000}[rate] / 2
		if size < 4+len(side)+len(main) {
			continue
		}
		mode := byte(h.raw) & 0xF0 // channels and how they are joined
		out = binary.BigEndian.AppendUint32(out, 0xFFF30000|uint32(bitrate)<<12|uint32(rate)<<10|uint32(mode))
		out = append(out, 0) // nothing before the frame
		out = append(append(out, side[1:]...), main...)
		return append(out, make([]byte, size-len(out))...)
	}
	return out
}
