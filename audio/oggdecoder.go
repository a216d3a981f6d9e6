package audio

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// oggCodec is what is in an Ogg.
type oggCodec interface {
	headers() int // that precede the samples
	// open takes them. It tells the format of the samples and how many of the first to leave out.
	open(headers [][]byte) (oggFormat, error)
	// decode appends the samples of a packet, all channels interleaved; of a bad one as much silence, if it can tell.
	decode(block []float32, packet []byte) []float32
	clear() // at a gap: packets that overlap are not neighbours
}

type oggFormat struct {
	rate     float64 // Hz, of samples and granules
	channels int
	skip     int64 // samples a channel, counted by granules, that precede the first
	tags     []string
}

// oggDecoder decodes a stream of packets page by page; the granule of a page is where its last packet ends, in samples.
type oggDecoder struct {
	ogg    *oggReader
	codec  oggCodec
	format oggFormat
	block  []float32
	held   []float32 // what follows the silence that was given last
	done   int64     // granules
	begun  bool      // a page has told where it lies
	skip   int64     // samples a channel yet to be left out
}

func (s *Source) openOgg(br *bufio.Reader, in input, o Options) error {
	d := &oggDecoder{ogg: &oggReader{br: bufio.NewReaderSize(br, max(oggMaxPage, ioBlock))}}
	page, err := d.ogg.next()
	if err != nil {
		return headerError(err, "Ogg")
	}
	if len(page.packets) == 0 {
		return headerError(io.EOF, "Ogg")
	}
	switch head := page.packets[0]; {
	case bytes.HasPrefix(head, []byte("\x01vorbis")):
		d.codec = &vorbisCodec{}
	case bytes.HasPrefix(head, []byte("OpusHead")):
		d.codec = &opusCodec{}
	case bytes.HasPrefix(head, []byte("\x7fFLAC")) && len(head) > 9:
		// xiph.org, "Ogg mapping for FLAC": version and a count come before what is plain FLAC.
		return s.openFLAC(bufio.NewReaderSize(&oggPackets{d.ogg, [][]byte{head[9:]}}, ioBlock), input{size: -1}, o)
	case bytes.HasPrefix(head, []byte("Speex   ")):
		return unread("Speex in Ogg")
	default:
		return unread("Ogg without Opus, Vorbis or FLAC")
	}
	if err := d.open(page); err != nil {
		return headerError(err, "Ogg")
	}
	s.channels = d.format.channels
	if in.at != nil {
		if end := oggEnd(in.at, in.size, d.ogg.serial); end >= d.format.skip {
			s.length, s.held = end-d.format.skip, end-d.format.skip
		}
	}
	s.stampTags(d.format.tags)
	return s.openDecoder(d, d.format.rate, o)
}

// open reads the headers, of which the first is in a page.
func (d *oggDecoder) open(page *oggPage) error {
	var headers [][]byte
	for {
		for _, p := range page.packets {
			headers = append(headers, bytes.Clone(p))
		}
		if len(headers) >= d.codec.headers() {
			break
		}
		var err error
		if page, err = d.ogg.next(); err != nil {
			return err
		}
	}
	f, err := d.codec.open(headers[:d.codec.headers()])
	if err != nil {
		return err
	}
	if d.format.rate != 0 && (f.rate != d.format.rate || f.channels != d.format.channels) {
		return mended{errors.New("goes on at another rate or with other channels"), "split it there"}
	}
	d.format = f
	d.done, d.begun, d.skip = 0, false, f.skip
	return nil
}

func (d *oggDecoder) next() (block []float32, silence int64, err error) {
	if block, d.held = d.held, nil; len(block) > 0 {
		return block, 0, nil
	}
	for {
		page, err := d.ogg.next()
		if err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) {
				err = mended{fmt.Errorf("ends inside an Ogg page: %w", io.ErrUnexpectedEOF), "what is there has been read"}
			}
			return nil, 0, err
		}
		if page.first { // one recording behind another
			if err := d.open(page); err != nil {
				return nil, 0, err
			}
			continue
		}
		if page.lost {
			d.codec.clear()
		}
		d.block = d.block[:0]
		for _, packet := range page.packets {
			d.block = d.codec.decode(d.block, packet)
		}
		if block, silence = d.place(page, d.block); silence > 0 {
			d.held = block
			return nil, silence, nil
		}
		if len(block) > 0 {
			return block, 0, nil
		}
	}
}

// place puts the samples of a page where they belong: it tells how many before them were lost, and cuts off what lies
// before the beginning or after the end.
func (d *oggDecoder) place(page *oggPage, block []float32) (_ []float32, silence int64) {
	channels := int64(d.format.channels)
	n := int64(len(block)) / channels
	if page.granule >= 0 && page.granule < 1<<62 {
		switch first := page.granule - n; {
		case !d.begun && page.lost: // what came before began at 0
			d.done = 0
			fallthrough
		case d.begun && page.lost && first > d.done:
			// A longer gap is none: no recording is of use with a day missing.
			if gap := first - d.done; gap > 0 && float64(gap) <= 86400*d.format.rate {
				silence = gap
			}
		case !d.begun && first < 0 && !page.last: // the first packets reach before the beginning
			block = block[-first*channels:]
			n += first
		case page.last && page.granule < d.done+n: // the last one reaches beyond the end
			keep := max(page.granule-d.done, 0)
			block, n = block[:keep*channels], keep
		}
		d.done, d.begun = page.granule, true
	} else {
		d.done += n
	}
	if skip := min(d.skip, silence); skip > 0 {
		silence -= skip
		d.skip -= skip
	}
	if skip := min(d.skip, n); skip > 0 {
		block = block[skip*channels:]
		d.skip -= skip
	}
	return block, silence
}

// vorbisComments are the entries NAME=VALUE of a comment header (Vorbis I specification, section 5), without what comes
// before its first length.
func vorbisComments(b []byte) (tags []string) {
	field := func() (string, bool) {
		if len(b) < 4 {
			return "", false
		}
		n := uint64(b[0]) | uint64(b[1])<<8 | uint64(b[2])<<16 | uint64(b[3])<<24
		if b = b[4:]; n > uint64(len(b)) {
			return "", false
		}
		s := string(b[:n])
		b = b[n:]
		return s, true
	}
	if _, ok := field(); !ok || len(b) < 4 { // who made it
		return nil
	}
	b = b[4:] // their number
	for {
		s, ok := field()
		if !ok {
			return tags
		}
		if strings.Contains(s, "=") {
			tags = append(tags, s)
		}
	}
}
