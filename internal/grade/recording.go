package grade

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"ionoscribe/audio"
	"ionoscribe/demod"
	"ionoscribe/samples"
)

// NoRecording is the name of audio that goes to the decoder as it is.
const NoRecording = "none"

// Recording is a lossy recording that the audio goes through before it is received: mono at 48 kHz, as sound cards
// have it, made by ffmpeg and read as any recording is. A nil one changes nothing.
type Recording struct {
	kind string
	kbit int // a second
}

// recordingKinds are the formats, with what makes ffmpeg write them.
var recordingKinds = map[string]struct{ encoder, suffix string }{
	"mp3":    {"libmp3lame", "mp3"},
	"opus":   {"libopus", "opus"},
	"vorbis": {"libvorbis", "ogg"},
}

// recordingRate is in Hz.
const recordingRate = 48000

// FindRecording reads a name such as mp3-64, nil for NoRecording. The encoder must be installed.
func FindRecording(name string) (*Recording, error) {
	if name == NoRecording {
		return nil, nil
	}
	kind, rate, _ := strings.Cut(name, "-")
	kbit, err := strconv.Atoi(rate)
	if _, ok := recordingKinds[kind]; !ok || err != nil || kbit < 6 || kbit > 320 {
		return nil, fmt.Errorf("%q is no FORMAT-KBIT such as mp3-64, opus-24 or vorbis-64", name)
	}
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		return nil, errors.New("ffmpeg, which makes the recording, was not found; install it (apt-get install ffmpeg)")
	}
	return &Recording{kind, kbit}, nil
}

func (r *Recording) String() string {
	if r == nil {
		return NoRecording
	}
	return fmt.Sprintf("%s-%d", r.kind, r.kbit)
}

// Through records src and plays it.
func (r *Recording) Through(src demod.SampleReader) (demod.SampleReader, error) {
	if r == nil {
		return src, nil
	}
	x, err := samples.ReadAll(src)
	if err != nil {
		return nil, err
	}
	// Encoders clip at full scale. How strong the audio is, is of no matter to the decoders.
	peak := float32(1e-9)
	for _, v := range x {
		peak = max(peak, v, -v)
	}
	raw := make([]byte, 0, 4*len(x))
	for _, v := range x {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(v*0.9/peak))
	}
	dir, err := os.MkdirTemp("", "recording")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	// Into a file: to a pipe ffmpeg cannot write how late MP3 is.
	kind := recordingKinds[r.kind]
	path := filepath.Join(dir, "x."+kind.suffix)
	c := exec.Command("ffmpeg", "-loglevel", "error", "-f", "f32le", "-ar", fmt.Sprint(src.SampleRate()), "-ac", "1", "-i", "-",
		"-ar", fmt.Sprint(recordingRate), "-c:a", kind.encoder, "-b:a", fmt.Sprintf("%dk", r.kbit), path)
	var complaint bytes.Buffer
	c.Stdin, c.Stderr = bytes.NewReader(raw), &complaint
	if err := c.Run(); err != nil {
		return nil, fmt.Errorf("ffmpeg: %w: %s", err, bytes.TrimSpace(complaint.Bytes()))
	}
	played, err := audio.Open(path, audio.Options{})
	if err != nil {
		return nil, err
	}
	defer played.Close()
	y := make([]float32, 0, len(x)*recordingRate/int(src.SampleRate())+recordingRate)
	for {
		y = slices.Grow(y, 4096)
		n, err := played.ReadSamples(y[len(y) : len(y)+4096])
		y = y[:len(y)+n]
		if err == io.EOF {
			return &playback{y, played.SampleRate()}, nil
		} else if err != nil {
			return nil, err
		}
	}
}

// playback is audio that is there.
type playback struct {
	left []float32
	rate float64
}

func (p *playback) SampleRate() float64 { return p.rate }

func (p *playback) ReadSamples(dst []float32) (int, error) {
	if len(p.left) == 0 {
		return 0, io.EOF
	}
	n := copy(dst, p.left)
	p.left = p.left[n:]
	return n, nil
}
