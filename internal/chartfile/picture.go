package chartfile

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // the formats that OpenPicture reads
	_ "image/png"
	"io"
	"os"

	_ "golang.org/x/image/tiff"
)

// Limits of a picture that is opened: 100 million pixels are 400 MB while it is decoded.
const (
	maxPictureSide   = 1 << 16
	maxPicturePixels = 100_000_000
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
		if errors.Is(err, image.ErrFormat) {
			e.Err, e.Mend = errors.New("is not a picture"), "give a PNG, JPEG or TIFF file"
		}
		return nil, e
	}
	return m, nil
}

func decodePicture(r io.ReadSeeker) (image.Image, error) {
	c, _, err := image.DecodeConfig(bufio.NewReader(r))
	if err != nil {
		return nil, err
	}
	if c.Width < 1 || c.Height < 1 || c.Width > maxPictureSide || c.Height > maxPictureSide ||
		int64(c.Width)*int64(c.Height) > maxPicturePixels {
		return nil, fmt.Errorf("claims %d × %d pixels, the limit is %d in all", c.Width, c.Height, maxPicturePixels)
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	m, _, err := image.Decode(bufio.NewReader(r))
	return m, err
}
