package chartfile

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	"image/color"
	_ "image/jpeg" // the formats that OpenPicture reads
	_ "image/png"
	"io"
	"os"

	"golang.org/x/image/tiff"
)

// Limits of a picture that is opened.
const (
	maxPictureSide   = 1 << 16
	maxPicturePixels = 100_000_000
	maxPictureBytes  = 400_000_000 // while it is decoded, by pictureBytes
)

// OpenPicture reads a PNG, JPEG or TIFF picture. Its size is looked at before it is decoded. Every error is an
// *Error.
func OpenPicture(path string) (image.Image, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, readError(path, err)
	}
	defer f.Close()
	m, err := decodePicture(f)
	if err != nil {
		e := readError(path, err).(*Error)
		switch {
		case errors.Is(err, image.ErrFormat):
			e.Err, e.Mend = errors.New("is not a picture"), "give a PNG, JPEG or TIFF file"
		case errors.As(err, new(tooLarge)):
			e.Mend = "make it smaller; a chart is 1810 pixels wide"
		}
		return nil, e
	}
	return m, nil
}

// tooLarge says why a picture is not decoded.
type tooLarge string

func (t tooLarge) Error() string { return string(t) }

type pictureFile interface {
	io.ReadSeeker
	io.ReaderAt
}

func decodePicture(f pictureFile) (image.Image, error) {
	c, form, err := pictureConfig(f)
	if err != nil {
		return nil, err
	}
	if c.Width < 1 || c.Height < 1 || c.Width > maxPictureSide || c.Height > maxPictureSide ||
		int64(c.Width)*int64(c.Height) > maxPicturePixels {
		return nil, tooLarge(fmt.Sprintf("claims %d × %d pixels, the limit is %d in all", c.Width, c.Height, maxPicturePixels))
	}
	if n := pictureBytes(c, form); n > maxPictureBytes {
		return nil, tooLarge(fmt.Sprintf("%s of %d × %d pixels would take %d MB, the limit is %d", form, c.Width, c.Height, n/1e6, int(maxPictureBytes/1e6)))
	}
	if form == formTIFF {
		return tiff.Decode(f) // which reads where it needs; behind a buffer it would keep the whole file
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	m, _, err := image.Decode(bufio.NewReader(f))
	return m, err
}

// form is how a picture is stored, as far as decoding it differs in memory.
type form string

const (
	formPNG         form = "a PNG"
	formJPEG        form = "a JPEG"
	formProgressive form = "a progressive JPEG"
	formTIFF        form = "a TIFF"
)

// pictureConfig reads the size of a picture.
func pictureConfig(f pictureFile) (c image.Config, _ form, err error) {
	magic := make([]byte, 4)
	if _, err := f.ReadAt(magic, 0); err == nil && (string(magic) == "II*\x00" || string(magic) == "MM\x00*") { // TIFF 6.0 section 2
		c, err = tiff.DecodeConfig(f)
		return c, formTIFF, err
	}
	c, name, err := image.DecodeConfig(bufio.NewReader(io.NewSectionReader(f, 0, 1<<62)))
	if err != nil || name != "jpeg" {
		return c, formPNG, err
	}
	if progressive(bufio.NewReader(io.NewSectionReader(f, 0, 1<<62))) {
		return c, formProgressive, nil
	}
	return c, formJPEG, nil
}

// progressive tells whether a JPEG's frame is one in several scans: the frame header is the first segment with a marker of
// C0 to C2, and C2 is that (ITU-T T.81 table B.1; each segment begins with its marker and length, B.1.1.4).
func progressive(r *bufio.Reader) bool {
	r.Discard(2) // start of image
	for {
		b := make([]byte, 4)
		if _, err := io.ReadFull(r, b[:2]); err != nil {
			return false
		}
		for b[0] != 0xff || b[1] == 0xff { // fill bytes
			b[0] = b[1]
			var err error
			if b[1], err = r.ReadByte(); err != nil {
				return false
			}
		}
		switch m := b[1]; {
		case m >= 0xc0 && m <= 0xc2:
			return m == 0xc2
		case m == 0 || m == 1 || m >= 0xd0 && m <= 0xd9: // no segment
			continue
		}
		if _, err := io.ReadFull(r, b[2:]); err != nil {
			return false
		}
		if _, err := r.Discard(max(0, int(b[2])<<8+int(b[3])-2)); err != nil {
			return false
		}
	}
}

// pictureBytes is an upper bound of the memory that a picture takes while it is decoded by image/png, image/jpeg and
// x/image/tiff. TestPictureBytes holds them to it.
func pictureBytes(c image.Config, f form) int64 {
	whole := func(n int) int64 { return int64(n+31) / 32 * 32 } // units of JPEG are up to 32 pixels
	pixels := whole(c.Width) * whole(c.Height)
	var pixel, components int64 = 8, 4 // bytes a pixel of the picture
	switch c.ColorModel {
	case color.GrayModel:
		pixel, components = 1, 1
	case color.Gray16Model:
		pixel = 2
	case color.YCbCrModel:
		pixel, components = 3, 3
	case color.RGBAModel, color.NRGBAModel, color.CMYKModel:
		pixel = 4
	case color.RGBA64Model, color.NRGBA64Model:
	default: // a palette
		pixel = 1
	}
	switch f {
	case formPNG: // interlaced: its passes are pictures of half the size and less
		return 2 * pixel * pixels
	case formTIFF: // a strip may hold the whole picture, and unpack to eight bytes a pixel in a buffer that doubles until then
		return (pixel + 4*8) * pixels
	case formProgressive: // coefficients of four bytes
		return (pixel + components + 4*components) * pixels
	}
	return (pixel + components) * pixels // CMYK and RGB are made of the components
}
