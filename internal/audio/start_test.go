package audio

import (
	"bytes"
	"encoding/binary"
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
	if err != nil || src.StartFrom() != FromFileOnly {
		t.Error(err, src.StartFrom())
	}
	before := time.Now()
	src, err = Open("-", Options{Stdin: bytes.NewReader(riff("RIFF", pcm16, samples))})
	if err != nil || src.Start().Before(before) || src.Start().After(time.Now()) || src.StartFrom() != FromClock {
		t.Error(err, src)
	}
}
