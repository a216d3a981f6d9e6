package audio

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"
)

// SigMF (Signal Metadata Format 1.2, sigmf.org): NAME.sigmf-meta describes in JSON the samples in NAME.sigmf-data.
const (
	sigmfMeta = ".sigmf-meta"
	sigmfData = ".sigmf-data"
)

// sigmfMost is how large metadata may be in bytes; annotations make them large.
const sigmfMost = 64 << 20

// sigmf is what is needed of the metadata.
type sigmf struct {
	Global struct {
		Datatype string  `json:"core:datatype"`
		Rate     float64 `json:"core:sample_rate"`
		Channels int     `json:"core:num_channels"`
	} `json:"global"`
	Captures []struct {
		Begin     int64    `json:"core:sample_start"`
		Frequency *float64 `json:"core:frequency"` // Hz
		Time      string   `json:"core:datetime"`
		Header    int64    `json:"core:header_bytes"`
	} `json:"captures"`
}

func isSigMF(path string) bool {
	return strings.HasSuffix(path, sigmfMeta) || strings.HasSuffix(path, sigmfData)
}

// sigmfNames are the two files of a recording, of which path is one.
func sigmfNames(path string) (meta, data string) {
	name := strings.TrimSuffix(strings.TrimSuffix(path, sigmfMeta), sigmfData)
	return name + sigmfMeta, name + sigmfData
}

func readSigMF(path string) (m sigmf, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return m, mended{fmt.Errorf("its metadata %s are missing", path), "put them beside it, or rename the samples to .cu8, .cs16 or .cf32 and give --rate"}
	}
	if err != nil {
		return m, err
	}
	defer f.Close()
	return parseSigMF(io.LimitReader(f, sigmfMost))
}

func parseSigMF(r io.Reader) (m sigmf, err error) {
	if err := json.NewDecoder(r).Decode(&m); err != nil {
		return m, mended{fmt.Errorf("its SigMF metadata cannot be read (%w)", err), "check the JSON"}
	}
	for i, c := range m.Captures {
		if c.Begin < 0 || c.Header < 0 || i > 0 && c.Begin < m.Captures[i-1].Begin {
			return m, mended{errors.New("its SigMF captures are not in order"), "check the metadata"}
		}
	}
	return m, nil
}

// encoding tells how samples are stored, and whether they are complex.
func (m sigmf) encoding() (e Encoding, isComplex bool, err error) {
	kind, name := m.Global.Datatype, ""
	if len(kind) > 1 {
		name = kind[1:]
	}
	e, ok := map[string]Encoding{
		"u8": U8, "i8": S8, "i16_le": S16, "i16_be": S16BE, "i32_le": S32, "i32_be": S32BE,
		"f32_le": F32, "f32_be": F32BE, "f64_le": F64, "f64_be": F64BE,
	}[name]
	if !ok || kind[0] != 'c' && kind[0] != 'r' {
		return "", false, mended{fmt.Errorf("has SigMF samples of the type %q", kind), "convert them to ci16_le, cf32_le or cu8"}
	}
	return e, kind[0] == 'c', nil
}

// openSigMF opens both files of a recording.
func openSigMF(path string, o Options) (*Source, error) {
	meta, data := sigmfNames(path)
	m, err := readSigMF(meta)
	if err != nil {
		return nil, newError("open", path, err)
	}
	f, err := os.Open(data)
	if err != nil {
		return nil, newError("open", data, err)
	}
	s, err := m.open(f, path, o)
	if err != nil {
		f.Close()
		return nil, newError("open", path, err)
	}
	s.closer = f
	return s, nil
}

func (m sigmf) open(f *os.File, path string, o Options) (*Source, error) {
	fi, err := f.Stat()
	if err != nil {
		return nil, err
	}
	e, isComplex, err := m.encoding()
	if err != nil {
		return nil, err
	}
	s := &Source{name: path, length: -1, held: -1, channels: max(m.Global.Channels, 1)}
	if isComplex {
		s.channels *= 2
	}
	in := input{name: path, size: fi.Size(), written: fi.ModTime()}
	size := in.size
	if len(m.Captures) > 0 {
		first := m.Captures[0]
		if first.Header > 0 {
			if _, err := f.Seek(min(first.Header, size), io.SeekStart); err != nil {
				return nil, err
			}
			size -= min(first.Header, size)
		}
		if t, err := time.Parse(time.RFC3339Nano, first.Time); err == nil && m.Global.Rate > 0 {
			s.stamp, s.stampFrom = t.Add(-time.Duration(float64(first.Begin)/m.Global.Rate*1e9)), FromSigMF
		}
		if first.Frequency != nil {
			s.dial, s.dialFrom = *first.Frequency, FromSigMF
		}
		size = min(size, m.same()*int64(s.channels*encodings[e].width))
	}
	if size < in.size {
		s.report = m.more
	}
	if err := s.openPCM(bufio.NewReaderSize(f, ioBlock), encodings[e], m.Global.Rate, size, size, o); err != nil {
		return nil, err
	}
	s.setStart(in, o)
	return s, nil
}

// same is how many samples there are before one that was received elsewhere or lies apart.
func (m sigmf) same() int64 {
	first := m.Captures[0]
	for _, c := range m.Captures[1:] {
		if c.Header > 0 || c.Frequency != nil && (first.Frequency == nil || *c.Frequency != *first.Frequency) {
			return max(c.Begin-first.Begin, 0)
		}
	}
	return 1 << 56
}

// more is what to say of captures that are left out.
func (m sigmf) more() string {
	if n := m.same(); n < 1<<56 {
		return fmt.Sprintf("after sample %d the frequency is another one, and what follows is left out; split it there", n)
	}
	return ""
}
