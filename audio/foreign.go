package audio

import (
	"bytes"
	"fmt"
)

// foreign are the beginnings of files that no library here reads: most by the magic numbers of file(1).
var foreign = []struct {
	offset int
	magic  string
	name   string
}{
	{4, "ftyp", "MP4 (such as M4A with AAC or ALAC)"},
	{0, "\x30\x26\xb2\x75\x8e\x66\xcf\x11", "ASF (such as WMA)"},
	{0, "\x1a\x45\xdf\xa3", "Matroska or WebM"},
	{0, "\xff\xf1", "AAC"},
	{0, "\xff\xf9", "AAC"},
	{0, "caff", "CAF"},
	{0, ".snd", "AU"},
	{0, "wvpk", "WavPack"},
	{0, "MAC ", "Monkey's Audio"},
	{0, "TTA1", "True Audio"},
	{0, "#!AMR", "AMR"},
	{0, "DSD ", "DSD"},
	{0, "2BIT", "AVR"},
	{0, "Creative Voice File", "VOC"},
	{0, "\x1f\x8b", "gzip"},
	{0, "PK\x03\x04", "ZIP"},
	{0, "\x28\xb5\x2f\xfd", "Zstandard"},
	{0, "\xfd7zXZ", "xz"},
	{257, "ustar", "tar (such as a SigMF archive)"},
}

// foreignName names the format of a file that cannot be read, or is "".
func foreignName(begin []byte) string {
	for _, f := range foreign {
		if len(begin) >= f.offset && bytes.HasPrefix(begin[f.offset:], []byte(f.magic)) {
			return f.name
		}
	}
	return ""
}

// unread is the error of a format that is known but not read.
func unread(name string) error {
	mend := "convert it to WAV or FLAC"
	switch name {
	case "gzip", "ZIP", "Zstandard", "xz", "tar (such as a SigMF archive)":
		mend = "unpack it"
	}
	return mended{fmt.Errorf("is %s, which is not read", name), mend}
}
