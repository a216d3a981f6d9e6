package chartfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"strconv"
	"time"

	"ionoscribe/fax"
)

// keyword is one tEXt chunk: how Info becomes its text and the text Info.
type keyword struct {
	name string
	get  func(i *Info) string
	set  func(i *Info, text string) error
}

// keywords: the first four and Source are registered (W3C PNG Specification, third edition, 11.3.3.1), with the form that
// is advised there for Creation Time; the others are our own, in plain words.
var keywords = []keyword{
	{"Title", func(i *Info) string { return i.Title }, setString(func(i *Info) *string { return &i.Title })},
	{"Creation Time", func(i *Info) string { return i.Start.Format(timeForm) }, setTime(func(i *Info) *time.Time { return &i.Start })},
	{"Software", func(*Info) string { return "Ionoscribe" }, ignore},
	{"Warning", func(*Info) string { return "Received by radio, not for navigation: check official sources." }, ignore},
	{"End Time", func(i *Info) string { return i.End.Format(timeForm) }, setTime(func(i *Info) *time.Time { return &i.End })},
	{"Time From", func(i *Info) string { return i.TimeFrom }, setString(func(i *Info) *string { return &i.TimeFrom })},
	{"Mode", func(*Info) string { return "fax" }, ignore},
	{"Source", func(i *Info) string { return i.Source }, setString(func(i *Info) *string { return &i.Source })},
	{"Frequency Hz", func(i *Info) string { return frequency(i.Hz) }, setFloat(func(i *Info) *float64 { return &i.Hz })},
	{"Index of Cooperation", func(i *Info) string { return strconv.Itoa(i.IOC) }, setInt(func(i *Info) *int { return &i.IOC })},
	{"Lines per Minute", func(i *Info) string { return decimals(i.LPM, -1) }, setFloat(func(i *Info) *float64 { return &i.LPM })},
	{"Lines", func(i *Info) string { return strconv.Itoa(i.Lines) }, setInt(func(i *Info) *int { return &i.Lines })},
	{"Clock Error ppm", func(i *Info) string { return decimals(i.ClockPPM, 2) }, setFloat(func(i *Info) *float64 { return &i.ClockPPM })},
	{"Tuning Hz", func(i *Info) string { return decimals(i.TuningHz, 2) }, setFloat(func(i *Info) *float64 { return &i.TuningHz })},
	{"SNR dB in 2500 Hz", func(i *Info) string { return decimals(i.SNR, 2) }, setFloat(func(i *Info) *float64 { return &i.SNR })},
	{"Began", func(i *Info) string { return i.Began }, setString(func(i *Info) *string { return &i.Began })},
	{"Ended", func(i *Info) string { return i.Ended }, setString(func(i *Info) *string { return &i.Ended })},
	{"Line Start", lineStart, setLineStart},
	{"Line Start Confidence", func(i *Info) string { return decimals(i.LineStartConfidence, 2) }, setFloat(func(i *Info) *float64 { return &i.LineStartConfidence })},
	{"Slant", choice(slantOf, "measured", "assumed"), setChoice(slantOf, "measured", "assumed")},
	{"Levels", choice(levelOf, "black and white", "grey"), setChoice(levelOf, "black and white", "grey")},
	{"Echo ms", func(i *Info) string { return decimals(i.EchoMS, 2) }, setFloat(func(i *Info) *float64 { return &i.EchoMS })},
	{"Copies Differ", func(i *Info) string { return i.Differs }, setString(func(i *Info) *string { return &i.Differs })},
	{"Line Quality", func(i *Info) string { b, _ := i.Quality.MarshalText(); return string(b) },
		func(i *Info, text string) error { return i.Quality.UnmarshalText([]byte(text)) }},
}

// lineStart says how the line start is known: from phasing, for sure from the picture, or not for sure.
func lineStart(i *Info) string {
	switch {
	case i.PhaseMeasured:
		return "measured"
	case i.LineStartConfidence >= fax.LeastSure:
		return "found"
	}
	return "estimated"
}

func setLineStart(i *Info, text string) error {
	i.PhaseMeasured = text == "measured"
	if text != "measured" && text != "found" && text != "estimated" {
		return fmt.Errorf("none of %q, %q and %q", "measured", "found", "estimated")
	}
	return nil
}

const timeForm = "2006-01-02T15:04:05.000Z07:00" // RFC 3339 with milliseconds

func slantOf(i *Info) *bool { return &i.SlantMeasured }
func levelOf(i *Info) *bool { return &i.TwoLevel }

func ignore(*Info, string) error { return nil }

func decimals(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }

// frequency is "" if it is not known.
func frequency(hz float64) string {
	if hz == 0 {
		return ""
	}
	return decimals(hz, -1)
}

func setTime(field func(*Info) *time.Time) func(*Info, string) error {
	return func(i *Info, text string) error {
		t, err := time.Parse(time.RFC3339, text)
		*field(i) = t.UTC()
		return err
	}
}

func setString(field func(*Info) *string) func(*Info, string) error {
	return func(i *Info, text string) error { *field(i) = text; return nil }
}

func setInt(field func(*Info) *int) func(*Info, string) error {
	return func(i *Info, text string) (err error) { *field(i), err = strconv.Atoi(text); return err }
}

func setFloat(field func(*Info) *float64) func(*Info, string) error {
	return func(i *Info, text string) error {
		x, err := strconv.ParseFloat(text, 64)
		*field(i) = finite(x)
		return err
	}
}

func choice(field func(*Info) *bool, yes, no string) func(*Info) string {
	return func(i *Info) string {
		if *field(i) {
			return yes
		}
		return no
	}
}

func setChoice(field func(*Info) *bool, yes, no string) func(*Info, string) error {
	return func(i *Info, text string) error {
		*field(i) = text == yes
		if text != yes && text != no {
			return fmt.Errorf("neither %q nor %q", yes, no)
		}
		return nil
	}
}

const (
	pngSignature = "\x89PNG\r\n\x1a\n"
	headerEnd    = 8 + 12 + 13 // signature and IHDR chunk (5.2, 11.2.1)
	maxText      = 1 << 18     // bytes of a text chunk: two digits for each of 100 000 lines, and to spare
)

// EncodePNG writes a picture with its description in text chunks.
func EncodePNG(w io.Writer, m image.Image, info Info) error {
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		return err
	}
	out := bytes.NewBuffer(make([]byte, 0, b.Len()+8192))
	out.Write(b.Next(headerEnd))
	for _, k := range keywords {
		if text := k.get(&info); text != "" {
			writeChunk(out, "tEXt", k.name+"\x00"+latin1(text))
		}
	}
	if _, err := w.Write(out.Bytes()); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// writeChunk: length, type, data, CRC over type and data (5.3).
func writeChunk(b *bytes.Buffer, kind, data string) {
	crc := crc32.NewIEEE()
	io.WriteString(crc, kind)
	io.WriteString(crc, data)
	b.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
	b.WriteString(kind)
	b.WriteString(data)
	b.Write(binary.BigEndian.AppendUint32(nil, crc.Sum32()))
}

// latin1 keeps a value within what tEXt may hold; all that we write is ASCII already.
func latin1(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c < ' ' || c > '~' {
			b[i] = '?'
		}
	}
	return string(b)
}

var errNotPNG = errors.New("is not a PNG picture")

// DecodeInfo reads the description back from the beginning of a PNG stream, up to its picture data. Unknown
// keywords are skipped; a PNG without the creation time and index of cooperation is not one of ours.
func DecodeInfo(r io.Reader) (Info, error) {
	var info Info
	found := map[string]bool{}
	head := make([]byte, len(pngSignature))
	if _, err := io.ReadFull(r, head); err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return info, err
	} else if string(head) != pngSignature {
		return info, errNotPNG
	}
	for {
		if _, err := io.ReadFull(r, head); err != nil {
			return info, fmt.Errorf("%w: it ends early", errNotPNG)
		}
		n, kind := int64(binary.BigEndian.Uint32(head)), string(head[4:])
		if n > 1<<31-1 {
			return info, fmt.Errorf("%w: chunk of %d bytes", errNotPNG, n)
		}
		switch kind {
		case "IDAT", "IEND":
			if !found["Creation Time"] || !found["Index of Cooperation"] {
				return info, errors.New("is a PNG picture, but not a received chart")
			}
			return info, nil
		case "tEXt":
			if n > maxText {
				return info, fmt.Errorf("text chunk of %d bytes", n)
			}
			data := make([]byte, n+4)
			if _, err := io.ReadFull(r, data); err != nil {
				return info, fmt.Errorf("%w: it ends early", errNotPNG)
			}
			data, sum := data[:n], binary.BigEndian.Uint32(data[n:])
			if crc32.Update(crc32.ChecksumIEEE([]byte(kind)), crc32.IEEETable, data) != sum {
				return info, errors.New("damaged text chunk: its checksum is wrong")
			}
			if err := info.setText(data, found); err != nil {
				return info, err
			}
		default:
			if _, err := io.CopyN(io.Discard, r, n+4); err != nil {
				return info, fmt.Errorf("%w: it ends early", errNotPNG)
			}
		}
	}
}

func (i *Info) setText(data []byte, found map[string]bool) error {
	name, text, _ := bytes.Cut(data, []byte{0})
	for _, k := range keywords {
		if k.name == string(name) {
			found[k.name] = true
			if err := k.set(i, string(text)); err != nil {
				return fmt.Errorf("text chunk %q: %w", k.name, err)
			}
		}
	}
	return nil
}
