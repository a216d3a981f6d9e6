package chartfile

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

const pictureSide = 1024

// pngBytes is a black PNG of 16 bits and four channels (W3C PNG, third edition, 11.2.1 and 8.2 for the seven passes).
func pngBytes(interlaced bool) []byte {
	b := []byte(pngSignature)
	chunk := func(name string, data []byte) {
		b = binary.BigEndian.AppendUint32(b, uint32(len(data)))
		at := len(b)
		b = append(append(b, name...), data...)
		b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[at:]))
	}
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, pictureSide), pictureSide)
	head = append(head, 16, 6, 0, 0, 0)
	passes := [][4]int{{0, 0, 1, 1}}
	if interlaced {
		head[12] = 1
		passes = [][4]int{{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}}
	}
	chunk("IHDR", head)
	var z bytes.Buffer
	w := zlib.NewWriter(&z)
	for _, p := range passes {
		width, height := (pictureSide-p[0]+p[2]-1)/p[2], (pictureSide-p[1]+p[3]-1)/p[3]
		for range height {
			w.Write(make([]byte, 1+8*width))
		}
	}
	w.Close()
	chunk("IDAT", z.Bytes())
	chunk("IEND", nil)
	return b
}

// A picture that would take more is refused by its header, before it is decoded.
func TestPictureTooLarge(t *testing.T) {
	b, err := os.ReadFile("testdata/progressive.jpg")
	must(t, err)
	i := bytes.Index(b, []byte{0xff, 0xc2}) + 5 // height and width follow length and precision (ITU-T T.81 B.2.2)
	for _, c := range []struct {
		side uint16
		says string
	}{{9000, "a progressive JPEG of 9000 × 9000 pixels would take"}, {11000, "claims 11000 × 11000 pixels"}} {
		binary.BigEndian.PutUint16(b[i:], c.side)
		binary.BigEndian.PutUint16(b[i+2:], c.side)
		path := filepath.Join(t.TempDir(), "x.jpg")
		must(t, os.WriteFile(path, b, 0o666))
		_, err := OpenPicture(path)
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
			t.Errorf("%v", err)
		}
	}
}

// FuzzPicture: whatever a picture is, it is refused or decoded, within the memory that its header allows.
func FuzzPicture(f *testing.F) {
	for _, name := range []string{"text_chunk.png", "progressive-grey.jpg", "progressive-cmyk.jpg"} {
		b, err := os.ReadFile(filepath.Join("testdata", name))
		must(f, err)
		f.Add(b)
	}
	var g bytes.Buffer
	must(f, tiff.Encode(&g, image.NewGray(image.Rect(0, 0, 9, 9)), &tiff.Options{Compression: tiff.Deflate}))
	f.Add(g.Bytes())
	f.Fuzz(func(t *testing.T, b []byte) {
		c, form, err := pictureConfig(bytes.NewReader(b))
		if err != nil || len(b) > 1<<16 || pictureBytes(c, form) > 1<<24 {
			return
		}
		decodePicture(bytes.NewReader(b))
	})
}
