package soundring

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"ionoscribe/internal/partfile"
)

const (
	mostFrame = 4096 // samples of a frame: what the streamable subset of FLAC allows at all rates (RFC 9639, section 7)
	bits      = 16   // of a sample: 96 dB, more than the range of the noise and the strongest signal in an audio passband
	mostRate  = 1<<20 - 1
	// leastJump is by how much a time must differ from what the samples before it say for samples to have been lost: more than
	// a clock estimate wanders, and as long as one of the shortest things that are decoded at all takes, a character.
	leastJump = 100 * time.Millisecond
	// retryAfter an error is how much sound is dropped before the next piece is tried.
	retryAfter = time.Second
	// dateForm is that of the tag DATE.
	dateForm = "2006-01-02T15:04:05.000000Z"
)

// pieceWriter writes pieces. After an error it begins a new one.
type pieceWriter struct {
	ring *Ring

	file    *os.File
	name    string // of the piece when it is complete
	begin   time.Time
	end     int64 // samples with which the minute is over
	next    int64 // number of the sample that comes next
	encoder *flac.Encoder
	encoded bytes.Buffer // that is not in the file yet
	held    time.Duration
	frame   *frame.Frame
	fill    int   // samples in frame
	bytes   int64 // in the file

	left    []string  // names of pieces that could not be completed
	paused  time.Time // until when nothing is tried, after an error
	failure error     // the latest
}

// frameLong is how many samples a frame has: a power of two, so that its length takes no room, of a quarter of a second at most,
// so that with what is not written yet less than a second is lost with the program.
func (w *pieceWriter) frameLong() int {
	n := mostFrame
	for n > 16 && float64(n) > w.rate()/4 {
		n /= 2
	}
	return n
}

func (w *pieceWriter) rate() float64 { return w.ring.config.SampleRate }

// after is the time that n samples take.
func (w *pieceWriter) after(n int64) time.Duration {
	return time.Duration(math.Round(float64(n) / w.rate() * 1e9))
}

func (w *pieceWriter) write(b block) error {
	if b.at.Before(w.paused) && w.paused.Sub(b.at) <= retryAfter {
		w.ring.drop(b)
		return w.failure
	}
	w.failure = w.add(b)
	if w.failure != nil {
		w.ring.drop(b)
		w.paused = b.at.Add(retryAfter)
	}
	return w.failure
}

func (w *pieceWriter) add(b block) error {
	channels := w.ring.channels()
	if w.file != nil {
		if d := b.at.Sub(w.begin.Add(w.after(w.next))); d > leastJump || d < -leastJump {
			if err := w.finish(); err != nil {
				return err
			}
		}
	}
	for at := 0; at < len(b.samples); {
		if w.file == nil {
			if err := w.start(b.at.Add(w.after(int64(at / channels)))); err != nil {
				return err
			}
		}
		n := min(int64(len(b.samples)-at)/int64(channels), w.end-w.next, int64(w.frameLong()-w.fill))
		for c := range channels {
			to := w.frame.Subframes[c].Samples[w.fill : w.fill+int(n)]
			for i := range to {
				to[i] = int32(b.samples[at+i*channels+c])
			}
		}
		at += int(n) * channels
		w.fill += int(n)
		w.next += n
		if w.fill == w.frameLong() {
			if err := w.encode(); err != nil {
				return w.giveUp(err)
			}
		}
		if w.next == w.end {
			if err := w.finish(); err != nil {
				return err
			}
		}
	}
	return nil
}

// start begins a piece at a time.
func (w *pieceWriter) start(at time.Time) error {
	at = at.UTC().Round(time.Microsecond)
	minute := at.Truncate(time.Minute).Add(time.Minute)
	w.begin, w.next, w.fill, w.held, w.bytes = at, 0, 0, 0, 0
	w.end = max(1, int64(math.Ceil(minute.Sub(at).Seconds()*w.rate()-1e-6)))
	dir := filepath.Join(w.ring.folder, filepath.FromSlash(at.Format("2006/01/02")))
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return writeError(dir, err)
	}
	for n := 1; ; n++ {
		name := at.Format("150405")
		if n > 1 {
			name = fmt.Sprintf("%s_%d", name, n)
		}
		w.name = filepath.Join(dir, name+suffix)
		f, err := partfile.Reserve(w.name + partfile.Suffix)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return writeError(w.name, err)
		}
		if _, err := os.Lstat(w.name); err == nil {
			partfile.Discard(f)
			continue
		}
		w.file = f
		break
	}
	w.encoded.Reset()
	var err error
	if w.encoder, err = flac.NewEncoder(&w.encoded, w.info(), w.tags()); err != nil {
		return w.giveUp(err)
	}
	if w.frame == nil {
		layout := frame.ChannelsMono
		if w.ring.config.IQ {
			layout = frame.ChannelsLR
		}
		w.frame = &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, Channels: layout, BitsPerSample: bits}}
		for range w.ring.channels() {
			w.frame.Subframes = append(w.frame.Subframes, &frame.Subframe{Samples: make([]int32, w.frameLong())})
		}
	}
	return w.save()
}

func (w *pieceWriter) info() *meta.StreamInfo {
	long := uint16(w.frameLong())
	return &meta.StreamInfo{BlockSizeMin: long, BlockSizeMax: long, SampleRate: uint32(math.Round(w.rate())), NChannels: uint8(w.ring.channels()), BitsPerSample: bits}
}

// tags say when it is, and what, in the words of the Vorbis comment's proposal of field names.
func (w *pieceWriter) tags() *meta.Block {
	what := "audio of a receiver"
	if w.ring.config.IQ {
		what = iqTag
	}
	const notEmpty = 1 // the encoder finds out the length of a block that is not said to be empty
	return &meta.Block{Header: meta.Header{Type: meta.TypeVorbisComment, Length: notEmpty}, Body: &meta.VorbisComment{Vendor: "Ionoscribe", Tags: [][2]string{
		{"DATE", w.begin.Format(dateForm)}, {"DESCRIPTION", what},
	}}}
}

const iqTag = "complex samples of a receiver: I left, Q right"

// encode encodes the frame, and brings into the file what is a second or more.
func (w *pieceWriter) encode() error {
	n := w.fill
	w.fill = 0
	w.frame.BlockSize = uint16(n)
	for _, s := range w.frame.Subframes {
		s.SubHeader, s.NSamples = frame.SubHeader{Pred: frame.PredVerbatim}, n // the encoder finds a better one
		s.Samples = s.Samples[:n]
	}
	err := w.encoder.WriteFrame(w.frame)
	for _, s := range w.frame.Subframes {
		s.Samples = s.Samples[:w.frameLong()]
	}
	if err != nil {
		return err
	}
	if w.held += w.after(int64(n)); w.held >= time.Second/2 {
		return w.save()
	}
	return nil
}

func (w *pieceWriter) save() error {
	w.held = 0
	n, err := w.file.Write(w.encoded.Bytes())
	w.bytes += int64(n)
	w.encoded.Reset()
	if err != nil {
		return w.giveUp(err)
	}
	return nil
}

// finish completes the piece, if there is one.
func (w *pieceWriter) finish() error {
	if w.file == nil {
		return nil
	}
	if w.fill > 0 {
		if err := w.encode(); err != nil {
			return w.giveUp(err)
		}
	}
	if err := w.save(); err != nil {
		return err
	}
	// The header tells how long it is.
	info := w.info()
	info.NSamples = uint64(w.next)
	var head bytes.Buffer
	if _, err := flac.NewEncoder(&head, info, w.tags()); err != nil {
		return w.giveUp(err)
	}
	if _, err := w.file.WriteAt(head.Bytes(), 0); err != nil {
		return w.giveUp(err)
	}
	if err := w.file.Sync(); err != nil {
		return w.giveUp(err)
	}
	f := w.file
	w.file = nil
	if err := partfile.Place(f, w.name); err != nil {
		return writeError(w.name, err)
	}
	w.ring.add(Piece{w.name, w.begin.Truncate(time.Second), w.begin.Add(w.after(w.next)), w.bytes})
	for ; len(w.left) > 0; w.left = w.left[1:] {
		if err := w.ring.keep(w.left[0]); err != nil {
			return nil // another time
		}
	}
	return nil
}

// giveUp lets go of a piece that cannot be written. What is on the disk of it is kept when it can be written again.
func (w *pieceWriter) giveUp(err error) error {
	if w.file == nil {
		return err
	}
	part := w.file.Name()
	w.file.Close()
	w.file = nil
	if w.next > int64(w.rate()) {
		w.left = append(w.left, w.name)
	} else {
		os.Remove(part)
	}
	return writeError(w.name, err)
}

// mend keeps what killed runs left of pieces: all their whole frames.
func (r *Ring) mend() {
	filepath.WalkDir(r.folder, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, suffix+partfile.Suffix) {
			return nil
		}
		if f := partfile.Orphan(path); f != nil {
			f.Close()
			if err := r.keep(strings.TrimSuffix(path, partfile.Suffix)); err != nil {
				r.note("a piece of sound that was cut short is lost", "piece", path, "error", err)
				os.Remove(path)
			}
		}
		return nil
	})
}

// keep makes a piece of that name of one that was cut short, of its whole frames.
func (r *Ring) keep(name string) error {
	part := name + partfile.Suffix
	p, err := openPiece(part)
	if err != nil {
		return err
	}
	defer p.close()
	mended := &Ring{config: Config{SampleRate: p.rate, IQ: p.iq}, folder: r.folder}
	w := &pieceWriter{ring: mended}
	for next := int64(0); ; {
		samples, err := p.next()
		if len(samples) > 0 {
			if err := w.add(block{samples, p.begin.Add(w.after(next))}); err != nil {
				return err
			}
			next += int64(len(samples) / mended.channels())
		}
		if err != nil {
			break // the end, or what is broken
		}
	}
	if err := w.finish(); err != nil {
		return err
	}
	if err := os.Remove(part); err != nil {
		return writeError(part, err)
	}
	for i, p := range mended.pieces {
		if _, err := os.Lstat(name); i == 0 && errors.Is(err, fs.ErrNotExist) && os.Rename(p.Path, name) == nil {
			p.Path = name // which the part had taken
		}
		r.add(p)
	}
	return nil
}
