package audio

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// sigmfFiles writes a recording and returns the path of its metadata.
func sigmfFiles(t testing.TB, meta string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "band")
	for name, b := range map[string][]byte{sigmfMeta: []byte(meta), sigmfData: data} {
		if err := os.WriteFile(path+name, b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return path + sigmfMeta
}

// Metadata by the SigMF specification 1.2: what is in its example recordings, and what bends it.
func TestSigMF(t *testing.T) {
	z := []complex64{0.5 - 0.25i, -1, 0.25i}
	var u8, i16, f32 []byte
	for _, v := range z {
		for _, x := range []float32{real(v), imag(v)} {
			u8 = append(u8, byte(128+128*x))
			i16 = binary.LittleEndian.AppendUint16(i16, uint16(int16(x*(1<<15))))
			f32 = binary.LittleEndian.AppendUint32(f32, math.Float32bits(x))
		}
	}
	const form = `{"global": {"core:datatype": "%", "core:sample_rate": 96000, "core:version": "1.2.0", "other:thing": [1]},
		"captures": [{"core:sample_start": 0, "core:frequency": 7878100.5, "core:datetime": "2026-11-26T21:15:00.5Z"}], "annotations": []}`
	for kind, data := range map[string][]byte{"cu8": u8, "ci16_le": i16, "cf32_le": f32} {
		meta := sigmfFiles(t, strings.Replace(form, "%", kind, 1), data)
		for _, path := range []string{meta, strings.TrimSuffix(meta, sigmfMeta) + sigmfData} {
			if !Complex(path, Options{}) {
				t.Error(path, "is not complex")
			}
			q, err := OpenIQ(path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if q.SampleRate() != 96000 || q.Length() != 3 || q.Dial() != 7878100.5 || q.DialFrom() != FromSigMF ||
				q.StartFrom() != FromSigMF || q.Start().Format("15:04:05.0") != "21:15:00.5" {
				t.Error(q.SampleRate(), q.Length(), q.Dial(), q.Start(), q.StartFrom())
			}
			got := make([]float32, 100)
			n, err := q.s.readAny(got)
			if err != nil || n != 6 || got[0] != 0.5 || got[1] != -0.25 || got[2] != -1 || got[5] != 0.25 {
				t.Error(kind, n, err, got[:6])
			}
			q.Close()
		}
	}

	// Real samples; a time of a later sample; two frequencies, of which the first is read; bytes before the samples.
	path := sigmfFiles(t, `{"global": {"core:datatype": "ri16_le", "core:sample_rate": 12000}, "captures": [
		{"core:sample_start": 12000, "core:datetime": "2026-11-26T21:15:01Z", "core:header_bytes": 2, "core:frequency": 1e6},
		{"core:sample_start": 12002, "core:frequency": 2e6}]}`, i16)
	src, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := readAll(t, src, 10)
	if err != nil || len(got) != 2 || got[0] != -0.25 || src.Start().Second() != 0 || !strings.Contains(src.Report(), "left out") || Complex(path, Options{}) {
		t.Error(got, err, src.Start(), src.Report())
	}
	src.Close()

	for want, c := range map[string]string{
		"cannot be read": "{", "type \"\"": "{}", "type \"cx8\"": `{"global": {"core:datatype": "cx8"}}`,
		"rate of 0 Hz": `{"global": {"core:datatype": "cu8"}}`,
		"in order":     `{"captures": [{"core:sample_start": 5}, {"core:sample_start": 4}]}`,
	} {
		path := sigmfFiles(t, c, u8)
		_, err := OpenIQ(path, Options{})
		if wantError(t, err, path); !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", c, err)
		}
	}
	lone := writeFile(t, "a.sigmf-data", u8)
	_, err = OpenIQ(lone, Options{})
	wantError(t, err, lone)
}

// Raw complex samples name themselves by suffix or order.
func TestRawComplex(t *testing.T) {
	path := writeFile(t, "band.cu8", []byte{255, 0, 128, 64})
	for _, o := range []Options{{Rate: 48000}, {Rate: 48000, Encoding: "CU8"}} {
		if !Complex(path, o) {
			t.Error("not complex")
		}
		q, err := OpenIQ(path, o)
		if err != nil {
			t.Fatal(err)
		}
		got := make([]float32, 100)
		if n, err := q.s.readAny(got); err != nil || n != 4 || got[0] != 127.0/128 || got[1] != -1 || got[3] != -0.5 || q.Length() != 2 {
			t.Error(n, err, got[:4])
		}
		q.Close()
	}
	_, err := OpenIQ(path, Options{})
	if wantError(t, err, path); !strings.Contains(err.Error(), "--rate") {
		t.Error(err)
	}
}

func FuzzSigMF(f *testing.F) {
	f.Add([]byte(`{"global": {"core:datatype": "ri16_le", "core:sample_rate": 12000, "core:num_channels": 2}, "captures": [
		{"core:sample_start": 1, "core:datetime": "2026-11-26T21:15:01Z", "core:header_bytes": 2, "core:frequency": 1e6},
		{"core:sample_start": 3, "core:frequency": 2e6}]}`), []byte("some samples of no meaning"))
	f.Fuzz(func(t *testing.T, meta, data []byte) {
		if m, err := parseSigMF(bytes.NewReader(meta)); err == nil {
			path := writeFile(t, "a"+sigmfData, data)
			file, err := os.Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer file.Close()
			if src, err := m.open(file, path, Options{}); err == nil {
				if got, _ := readSome(t, src, 100); len(got) > len(data) {
					t.Error(len(got))
				}
			}
		}
	})
}
