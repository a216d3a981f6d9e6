package audio

import (
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// What the name of a file tells where its content does not: a time after ISO 8601 with a Z, 20260304T121500Z, and a
// frequency with its unit, 7878.1kHz. No program's way of naming is meant.

// complexNames are the encodings of complex samples, which are the usual suffixes of files without a header, too.
var complexNames = map[Encoding]Encoding{
	"cu8": U8, "cs8": S8, "cs16": S16, "cf32": F32, "ci8": S8, "ci16_le": S16, "cf32_le": F32,
	"cs16le": S16, "cf32le": F32, "cs16be": S16BE, "cf32be": F32BE,
}

// Complex tells whether a source is complex samples by its own account: by SigMF metadata, an ordered encoding or the
// suffix of its name.
func Complex(path string, o Options) bool {
	if isSigMF(path) {
		meta, _ := sigmfNames(path)
		m, err := readSigMF(meta)
		if err != nil {
			return false // said when it is opened
		}
		_, isComplex, _ := m.encoding()
		return isComplex
	}
	_, ok := complexNames[nameEncoding(path, o)]
	return ok
}

// nameEncoding is the ordered encoding in lower case, or the one that the suffix of a file names.
func nameEncoding(path string, o Options) Encoding {
	if o.Encoding != "" {
		return Encoding(strings.ToLower(string(o.Encoding)))
	}
	if e := Encoding(strings.ToLower(strings.TrimPrefix(filepath.Ext(path), "."))); !IsLive(path) && complexNames[e] != "" {
		return e
	}
	return ""
}

// named puts the encoding of complex samples in its plain form: two channels of a part.
func named(path string, o Options) Options {
	if e := nameEncoding(path, o); complexNames[e] != "" {
		o.Encoding, o.Channels = complexNames[e], 2
	}
	return o
}

// nameTime finds a time in the name of a file.
func nameTime(path string) (time.Time, bool) { return isoTime(filepath.Base(path)) }

var frequencyForm = regexp.MustCompile(`(?i)(\d+(?:\.\d+)?)[ _]?(k|M|)Hz`)

// leastDial is the lowest frequency in Hz that is taken from a name: below LF (30 kHz, ITU-R V.431) lie audio tones and
// the rates of recordings.
const leastDial = 30e3

// usualRates are sampling rates, which names tell as often as frequencies.
var usualRates = []float64{32000, 44100, 48000, 88200, 96000, 176400, 192000}

// nameDial finds a radio frequency in Hz in the name of a file. A name that has two tells none, for one would be a guess.
func nameDial(path string, rate float64) (hz float64, ok bool) {
	name := filepath.Base(path)
	for _, m := range frequencyForm.FindAllStringSubmatchIndex(name, -1) {
		if m[0] > 0 && strings.ContainsAny(name[m[0]-1:m[0]], "0123456789.") {
			continue // the end of a longer number
		}
		if m[1] < len(name) && isLetter(name[m[1]]) {
			continue // a longer word
		}
		v, err := strconv.ParseFloat(name[m[2]:m[3]], 64)
		if err != nil {
			continue
		}
		switch name[m[4]:m[5]] {
		case "k", "K":
			v *= 1e3
		case "M", "m":
			v *= 1e6
		}
		if v < leastDial || v > 1e12 || v == rate || isUsualRate(v) || v == hz {
			continue
		}
		if ok {
			return 0, false
		}
		hz, ok = v, true
	}
	return hz, ok
}

func isUsualRate(hz float64) bool {
	for _, r := range usualRates {
		if hz == r {
			return true
		}
	}
	return false
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
