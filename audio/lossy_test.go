package audio

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"
)

// chirps are what testdata/lossy.sh computes: a second of two channels.
func chirps(rate float64) (left, right []float32) {
	for i := range int(rate) {
		t := float64(i) / rate
		left = append(left, float32(0.4*math.Sin(2*math.Pi*(500*t+500*t*t))))
		right = append(right, float32(0.4*math.Sin(2*math.Pi*(2000*t-400*t*t))))
	}
	return left, right
}

// ratio is the power of want over that of the error of got in dB, but for 50 ms at both ends, where encoders fade.
func ratio(got, want []float32, rate float64) float64 {
	margin := int(rate / 20)
	var signal, noise float64
	for i := margin; i < len(want)-margin; i++ {
		d := 0.0
		if d = float64(want[i]); i < len(got) {
			d -= float64(got[i])
		}
		signal += float64(want[i]) * float64(want[i])
		noise += d * d
	}
	return 10 * math.Log10(signal/noise)
}

type lossyFile struct {
	name     string
	rate     float64
	channels int
	length   int64
	late     int     // samples: the delay of encoder and decoder, where the file does not tell it
	least    float64 // dB of signal over the encoder's error, in its place to the sample
}

// miss is by how many samples the length of a gap may be wrong: of a variable bit rate it is an estimate.
func (c lossyFile) miss() float64 {
	if strings.Contains(c.name, "vbr") {
		return 2 * 1152
	}
	return 0
}

var lossyFiles = []lossyFile{
	{"lame-32k.mp3", 22050, 1, 23616, 1105, 20},
	{"lame-64k-stereo.mp3", 24000, 2, 24000, 0, 20},
	{"lame-vbr.mp3", 44100, 2, 44100, 0, 20},
	{"ffmpeg-12kHz-32k.mp3", 12000, 1, 12000, 0, 20},
	{"lame-12kHz-48k-stereo.mp3", 12000, 2, 12000, 0, 20},
	{"ffmpeg-64k.mp3", 48000, 1, 48000, 0, 20},
	{"ffmpeg-pipe.mp3", 24000, 2, 25344, 1105, 20},
	{"opusenc-12k.opus", 48000, 1, 48000, 0, 8},
	{"opusenc-24k-stereo.opus", 48000, 2, 48000, 0, 2}, // it does not keep the phase
	{"ffmpeg-24k.opus", 48000, 1, 48000, 0, 8},
	{"ffmpeg-64k-stereo.opus", 48000, 2, 48000, 0, 20},
	{"oggenc-32k.ogg", 24000, 1, 24000, 0, 20},
	{"oggenc-stereo.ogg", 44100, 2, 44100, 0, 20},
	{"ffmpeg-pipe.ogg", 48000, 2, 48000, 0, 20},
	{"flac.oga", 22050, 1, 22050, 0, 80},
}

// What encoders that are independent of this package made of a formula comes back, in its place and of its length.
func TestLossy(t *testing.T) {
	for _, c := range lossyFiles {
		t.Run(c.name, func(t *testing.T) {
			path := "testdata/" + c.name
			file, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			left, right := chirps(c.rate)
			for channel, want := range map[string][]float32{"left": left, "right": right} {
				if channel == "right" && c.channels == 1 {
					continue
				}
				var whole []float32
				for i, p := range []string{path, "-", "-"} {
					src, err := Open(p, Options{Channel: channel, Stdin: bytes.NewReader(file)})
					if err != nil {
						t.Fatal(err)
					}
					if src.SampleRate() != c.rate || src.Channels() != c.channels || p != "-" && src.Length() != c.length {
						t.Errorf("%s: rate %g, channels %d, length %d", p, src.SampleRate(), src.Channels(), src.Length())
					}
					got, err := readAll(t, src, []int{4096, 4096, 7}[i])
					if err != nil {
						t.Fatal(err)
					}
					if r := ratio(got[min(c.late, len(got)):], want, c.rate); r < c.least {
						t.Errorf("%s, %s: %.1f dB, want %g", p, channel, r, c.least)
					} else if p != "-" {
						t.Logf("%s: %.1f dB", channel, r)
					}
					if int64(len(got)) != c.length {
						t.Errorf("%s: %d samples", p, len(got))
					}
					if whole == nil {
						whole = got
					}
					compare(t, got, whole, 0)
					src.Close()
				}
			}
		})
	}
}

// A part of a compressed recording that is damaged becomes silence, and what follows is in its place.
func TestLossyDamage(t *testing.T) {
	for _, c := range lossyFiles {
		file, err := os.ReadFile("testdata/" + c.name)
		if err != nil {
			t.Fatal(err)
		}
		at := len(file) * 13 / 20
		if strings.Contains(c.name, ".o") && !strings.HasPrefix(c.name, "f") || c.name == "ffmpeg-64k-stereo.opus" {
			continue // all in one page: nothing follows the damage
		}
		clear(file[at : at+len(file)/20])
		src, err := Open("-", Options{Stdin: bytes.NewReader(file)})
		if err != nil {
			t.Error(c.name, err)
			continue
		}
		got, err := readAll(t, src, 1000)
		if err != nil || math.Abs(float64(len(got)-int(c.length))) > c.miss() || !strings.Contains(src.Report(), "silence") {
			t.Errorf("%s: %d samples, want %d; %v; %q", c.name, len(got), c.length, err, src.Report())
			continue
		}
		left, _ := chirps(c.rate)
		tail := len(left) * 4 / 5
		if got = got[c.late:]; c.miss() == 0 && ratio(got[tail:], left[tail:], c.rate) < c.least-3 {
			t.Errorf("%s: %.1f dB after the damage", c.name, ratio(got[tail:], left[tail:], c.rate))
		}
	}
}
