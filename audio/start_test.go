package audio

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"testing"
	"time"
)

// bext builds the chunk of EBU Tech 3285 section 2.3.
func bext(date, clock string, reference uint64) chunk {
	b := make([]byte, 602)
	copy(b[320:], date)
	copy(b[330:], clock)
	binary.LittleEndian.PutUint64(b[338:], reference)
	return chunk{id: "bext", body: b}
}

// info builds a chunk of tags with an odd one before.
func info(id, value string) chunk {
	b := append([]byte("INFOISFT\x03\x00\x00\x00abc\x00"), id...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(value)))
	return chunk{id: "LIST", body: append(b, value...)}
}

// A time in the tags of Ogg and FLAC, by encoders that are independent of this package (testdata/lossy.sh).
func TestTags(t *testing.T) {
	for _, name := range []string{"tagged.ogg", "tagged.opus", "tagged.flac"} {
		src, err := Open("testdata/"+name, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if src.StartFrom() != FromTags || src.Start().Format(time.RFC3339) != "2026-11-26T21:15:00Z" {
			t.Error(name, src.StartFrom(), src.Start())
		}
		src.Close()
	}
}

func TestStart(t *testing.T) {
	utc := func(s string) time.Time {
		x, err := time.Parse(time.RFC3339Nano, s)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	samples := s16(make([]int16, 12000)...) // 1 s
	written := utc("2031-05-04T12:00:01Z")
	for name, c := range map[string]struct {
		chunks []chunk
		order  string
		want   string
		from   string
	}{
		"file time":              {[]chunk{pcm16, samples}, "", "2031-05-04T12:00:00Z", FromFile},
		"file time, cut short":   {[]chunk{pcm16, {id: "data", body: samples.body, size: 240000}}, "", "2031-05-04T12:00:00Z", FromFile},
		"file time, length open": {[]chunk{pcm16, {id: "data", body: samples.body, size: 0xFFFFFFFF}}, "", "2031-05-04T12:00:00Z", FromFile},
		"ordered":                {[]chunk{bext("2031-05-03", "06:00:00", 0), pcm16, samples}, "2030-01-01T02:00:00+02:00", "2030-01-01T00:00:00Z", FromOrder},
		"origination":            {[]chunk{bext("2031-05-03", "06:00:07", 0), pcm16, samples}, "", "2031-05-03T06:00:07Z", FromBext},
		"other separators":       {[]chunk{bext("2031_05.03", "06-00 07", 0), pcm16, samples}, "", "2031-05-03T06:00:07Z", FromBext},
		// 6 h x 3600 x 12000 = 259 200 000 samples; a quarter of a second more
		"time reference":          {[]chunk{pcm16, bext("2031-05-03", "06:00:00", 259_203_000), samples}, "", "2031-05-03T06:00:00.25Z", FromBext},
		"reference past midnight": {[]chunk{bext("2031-05-03", "23:59:59", 3000), pcm16, samples}, "", "2031-05-04T00:00:00.25Z", FromBext},
		"reference before it":     {[]chunk{bext("2031-05-04", "00:00:00", 86400*12000-3000), pcm16, samples}, "", "2031-05-03T23:59:59.75Z", FromBext},
		"reference of days":       {[]chunk{bext("2031-05-03", "06:00:00", 1<<63), pcm16, samples}, "", "2031-05-03T06:00:00Z", FromBext},
		"date of creation":        {[]chunk{info("ICRD", "2031-05-03T06:00:07Z"), pcm16, samples}, "", "2031-05-03T06:00:07Z", FromTags},
		"date alone":              {[]chunk{info("ICRD", "2031-05-03"), pcm16, samples}, "", "2031-05-04T12:00:00Z", FromFile},
		"bext wins":               {[]chunk{info("ICRD", "2031-05-03T07:00:00Z"), bext("2031-05-03", "06:00:07", 0), pcm16, samples}, "", "2031-05-03T06:00:07Z", FromBext},
		"empty bext":              {[]chunk{bext("", "", 77), pcm16, samples}, "", "2031-05-04T12:00:00Z", FromFile},
		"impossible date":         {[]chunk{bext("2031-02-30", "06:00:00", 0), pcm16, samples}, "", "2031-05-04T12:00:00Z", FromFile},
		"short bext":              {[]chunk{{id: "bext", body: make([]byte, 300)}, pcm16, samples}, "", "2031-05-04T12:00:00Z", FromFile},
	} {
		path := writeFile(t, "a.wav", riff("RIFF", c.chunks...))
		if err := os.Chtimes(path, written, written); err != nil {
			t.Fatal(err)
		}
		var o Options
		if c.order != "" {
			o.Start = utc(c.order)
		}
		src, err := Open(path, o)
		if err != nil {
			t.Fatal(err)
		}
		if !src.Start().Equal(utc(c.want)) || src.Start().Location() != time.UTC || src.StartFrom() != c.from {
			t.Errorf("%s: %v, %s; want %s, %s", name, src.Start(), src.StartFrom(), c.want, c.from)
		}
		src.Close()
	}

	src, err := Open("testdata/sox-pipe.flac", Options{})
	if err != nil || src.StartFrom() != FromFile {
		t.Error(err, src.StartFrom())
	}
	if fi, err := os.Stat("testdata/sox-pipe.flac"); err != nil || fi.ModTime().Sub(src.Start()) != 20*time.Millisecond { // 240 of 12 000
		t.Error(err, src.Start())
	}
	before := time.Now()
	src, err = Open("-", Options{Stdin: bytes.NewReader(riff("RIFF", pcm16, samples))})
	if err != nil || src.Start().Before(before) || src.Start().After(time.Now()) || src.StartFrom() != FromClock {
		t.Error(err, src)
	}
}

// What a name tells is taken if the content tells nothing.
func TestNames(t *testing.T) {
	for name, want := range map[string]struct {
		utc string
		hz  float64
	}{
		"20261126T211500Z 7878.1kHz.wav":       {"2026-11-26T21:15:00Z", 7878100},
		"night_2026-11-26T21-15-00Z_4610kHz":   {"2026-11-26T21:15:00Z", 4610e3},
		"2026-11-26 21:15:00.25 UTC 13.882MHz": {"2026-11-26T21:15:00.25Z", 13882e3},
		"7878100Hz-20261126T2115Z":             {"2026-11-26T21:15:00Z", 7878100},
		"117400 Hz 20261126_211500Z.flac":      {"2026-11-26T21:15:00Z", 117400},
		"20261126T211500.wav":                  {"", 0}, // no zone
		"20261326T211500Z.wav":                 {"", 0}, // no such month
		"120261126T211500Z.wav":                {"", 0}, // part of a number
		"tone 1900Hz 48kHz.wav":                {"", 0}, // a pitch and a rate
		"24kHz":                                {"", 0},
		"4610kHz or 9040kHz":                   {"", 0}, // which?
		"4610kHz 4610kHz":                      {"", 4610e3},
		"4610kHzx":                             {"", 0},
	} {
		if at, ok := nameTime("a/" + name); ok != (want.utc != "") || ok && at.Format(time.RFC3339Nano) != want.utc {
			t.Errorf("%s: %v, %v", name, at, ok)
		}
		if hz, _ := nameDial("9040kHz/"+name, 12000); math.Abs(hz-want.hz) > 1e-6 {
			t.Errorf("%s: %g Hz", name, hz)
		}
	}
	path := writeFile(t, "20261126T211500Z-7878.1kHz.wav", riff("RIFF", pcm16, s16(1, 2)))
	src, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if src.StartFrom() != FromName || src.Start().Hour() != 21 || src.DialFrom() != FromName || src.Dial() != 7878100 {
		t.Error(src.StartFrom(), src.Start(), src.DialFrom(), src.Dial())
	}
}

// A pipe that gives an hour at once is a recording: nothing of it is stamped with a time to come, and the report says so.
func TestFastPipe(t *testing.T) {
	src, err := Open("-", Options{Stdin: bytes.NewReader(riff("RIFF", pcm16, s16(make([]int16, 60*12000)...)))})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := readAll(t, src, 4096); err != nil || src.Time(60*12000).After(time.Now()) || src.StartFrom() != FromFastPipe || src.Report() == "" {
		t.Error(err, src.Start(), src.StartFrom(), src.Report())
	}
}
