package audio

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// oggReader reads the pages of the first logical stream in an Ogg (RFC 3533), and of those that are chained behind it.
// A page is
//
//	"OggS" version8 flags8 granule64 serial32 index32 checksum32 n8 { size8 }... { content }...
//
// whose packets end with each size of less than 255. What is damaged is passed over up to the next page that its
// checksum confirms.
//
// No library is used for that: the readers of jfreymuth/oggvorbis v1.0.5 and pion/opus v0.1.0 end at the first page
// that is damaged or missing, each knows but one codec, and the former takes a page without packets for an index of -1.
type oggReader struct {
	br      *bufio.Reader // its buffer holds a page
	serial  uint32
	begun   bool
	ended   bool   // the stream had its last page
	index   uint32 // of the next page
	content []byte
	partial []byte // of a packet that goes on in the next page
	page    oggPage
}

type oggPage struct {
	first, last bool // of the stream
	lost        bool // something before it is missing
	granule     int64
	packets     [][]byte // that end in it; valid until the next page is read
}

const (
	oggHeader     = 27
	oggMaxPage    = oggHeader + 255 + 255*255
	oggMaxPacket  = 1 << 20 // far beyond any of Opus (61 kB) or Vorbis
	oggContinued  = 1
	oggFirst      = 2
	oggLast       = 4
	oggNoPosition = -1 // granule of a page in which no packet ends
)

// oggTable is that of the checksum, with the polynomial 0x04C11DB7, highest bit first.
var oggTable = func() (t [256]uint32) {
	for i := range t {
		c := uint32(i) << 24
		for range 8 {
			if c&(1<<31) != 0 {
				c = c<<1 ^ 0x04C11DB7
			} else {
				c <<= 1
			}
		}
		t[i] = c
	}
	return t
}()

func oggChecksum(page []byte) (c uint32) {
	for i, b := range page {
		if i >= 22 && i < 26 { // the place of the checksum itself
			b = 0
		}
		c = c<<8 ^ oggTable[byte(c>>24)^b]
	}
	return c
}

// next reads the next page of the stream in which a packet ends.
func (o *oggReader) next() (*oggPage, error) {
	lost := false
	for {
		page, err := o.whole()
		if err == errOggDamage {
			lost = true
			continue
		}
		if err != nil {
			return nil, err
		}
		flags, serial := page[5], binary.LittleEndian.Uint32(page[14:])
		first := flags&oggFirst != 0
		switch {
		case !o.begun && !first:
			return nil, mended{errors.New("begins within an Ogg stream, without its headers"), "record it again"}
		case first && (!o.begun || o.ended):
			o.serial, o.index, o.begun, o.ended, o.partial = serial, binary.LittleEndian.Uint32(page[18:]), true, false, nil
		case serial != o.serial: // one of several side by side
			o.br.Discard(len(page))
			continue
		}
		index := binary.LittleEndian.Uint32(page[18:])
		lost = lost || index != o.index
		o.index = index + 1
		if o.ended = flags&oggLast != 0; !o.split(page, lost) {
			return nil, mended{fmt.Errorf("has a packet of more than %d bytes in its Ogg stream", oggMaxPacket), "convert it to WAV"}
		}
		o.br.Discard(len(page))
		p := &o.page
		p.first, p.last, p.lost, p.granule = first, o.ended, lost, int64(binary.LittleEndian.Uint64(page[6:]))
		if len(p.packets) > 0 || p.last {
			return p, nil
		}
	}
}

var errOggDamage = errors.New("damage")

// whole peeks at the next page, or passes over what is none.
func (o *oggReader) whole() ([]byte, error) {
	head, err := o.br.Peek(oggHeader)
	if len(head) < oggHeader {
		if err == io.EOF && len(head) > 0 {
			err = io.ErrUnexpectedEOF
		}
		return nil, err
	}
	if string(head[:4]) != "OggS" {
		have, _ := o.br.Peek(o.br.Buffered())
		n := bytes.Index(have[1:], []byte("OggS")) + 1
		if n == 0 {
			n = len(have) - 3
		}
		o.br.Discard(n)
		return nil, errOggDamage
	}
	size := oggHeader + int(head[26])
	if head, err = o.br.Peek(size); err == nil {
		for _, n := range head[oggHeader:] {
			size += int(n)
		}
		head, err = o.br.Peek(size)
	}
	if err == nil && oggChecksum(head) == binary.LittleEndian.Uint32(head[22:]) && head[4] == 0 {
		return head, nil
	}
	if err != nil && err != io.EOF {
		return nil, err
	}
	o.br.Discard(4)
	return nil, errOggDamage
}

// split takes the packets out of a page. It tells whether they are of a sane size.
func (o *oggReader) split(page []byte, lost bool) bool {
	sizes := page[oggHeader : oggHeader+int(page[26])]
	o.content = append(o.content[:0], page[oggHeader+len(sizes):]...)
	packets, rest := o.page.packets[:0], o.content
	goesOn := page[5]&oggContinued != 0
	if lost || !goesOn {
		o.partial = nil
	}
	drop := goesOn && o.partial == nil // its beginning is missing
	n := 0
	for _, size := range sizes {
		n += int(size)
		if size == 255 {
			continue
		}
		packet := rest[:n]
		rest, n = rest[n:], 0
		switch {
		case drop:
			drop = false
			continue
		case o.partial != nil:
			packet, o.partial = append(o.partial, packet...), nil
		}
		packets = append(packets, packet)
	}
	if n > 0 && !drop {
		o.partial = append(o.partial, rest...)
	}
	o.page.packets = packets
	return len(o.partial) <= oggMaxPacket
}

// oggPackets is the bytes of all packets, as a stream.
type oggPackets struct {
	ogg     *oggReader
	packets [][]byte
}

func (p *oggPackets) Read(b []byte) (int, error) {
	for len(p.packets) == 0 || len(p.packets[0]) == 0 {
		if len(p.packets) > 0 {
			p.packets = p.packets[1:]
			continue
		}
		page, err := p.ogg.next()
		if err != nil {
			return 0, err
		}
		if p.packets = page.packets; page.lost {
			p.packets = append([][]byte{{0}}, p.packets...) // begins nothing, so that the reader sees the gap
		}
	}
	n := copy(b, p.packets[0])
	p.packets[0] = p.packets[0][n:]
	return n, nil
}

// oggEnd finds the granule of the last page of a file's stream, or -1.
func oggEnd(file io.ReaderAt, size int64, serial uint32) int64 {
	b := make([]byte, min(size, 2*oggMaxPage))
	if _, err := file.ReadAt(b, size-int64(len(b))); err != nil && err != io.EOF {
		return oggNoPosition
	}
	for end := len(b); ; {
		i := bytes.LastIndex(b[:end], []byte("OggS"))
		if i < 0 {
			return oggNoPosition
		}
		if end = i; len(b)-i >= oggHeader && binary.LittleEndian.Uint32(b[i+14:]) == serial {
			if g := int64(binary.LittleEndian.Uint64(b[i+6:])); g != oggNoPosition {
				return g
			}
		}
	}
}
