package soundring

import (
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ionoscribe/audio"
	"ionoscribe/demod"
)

var (
	_ demod.SampleReader = (*Span)(nil)
	_ demod.IQReader     = (*Span)(nil)
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

const rate = 6000 // of tests

var noon = time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)

// sound is noise and a tone, the same for the same seed.
func sound(n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.3*math.Sin(2*math.Pi*0.1*float64(i)) + 0.05*r.NormFloat64())
	}
	return x
}

// write writes in blocks of random length.
func write(r *Ring, x []float32, begin time.Time) {
	random := rand.New(rand.NewPCG(1, 2))
	for at := 0; at < len(x); {
		n := min(1+random.IntN(3000), len(x)-at)
		settle(r)
		r.Write(x[at:at+n], begin.Add(time.Duration(float64(at)/rate*1e9)))
		at += n
	}
}

// settle waits until nothing is queued.
func settle(r *Ring) {
	for {
		r.mutex.Lock()
		n := r.queued
		r.mutex.Unlock()
		if n == 0 {
			return
		}
		time.Sleep(100 * time.Microsecond)
	}
}

func open(t testing.TB, dir string, c Config) *Ring {
	t.Helper()
	c.Note = func(s string, more ...any) { t.Log(append([]any{s}, more...)...) }
	if c.SampleRate == 0 {
		c.SampleRate = rate
	}
	r, err := Open(dir, "north: 1/2", c)
	must(t, err)
	t.Cleanup(func() { r.Close() })
	return r
}

func names(t testing.TB, dir string) (all []string) {
	t.Helper()
	must(t, filepath.Walk(filepath.Join(dir, "sound"), func(path string, fi os.FileInfo, err error) error {
		if err == nil && !fi.IsDir() {
			all = append(all, filepath.Base(path))
		}
		return err
	}))
	return all
}

func readAll(t testing.TB, dir string, from, to time.Time) ([]float32, *Span) {
	t.Helper()
	s, err := Read(dir, "north: 1/2", from, to)
	must(t, err)
	defer s.Close()
	var all []float32
	b := make([]float32, 1000)
	for {
		n, err := s.ReadSamples(b)
		all = append(all, b[:n]...)
		if err == io.EOF {
			return all, s
		}
		must(t, err)
	}
}

// near fails unless samples are the same but for their rounding to 16 bits.
func near(t testing.TB, what string, got, want []float32) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d samples, want %d", what, len(got), len(want))
	}
	for i := range got {
		if math.Abs(float64(got[i]-want[i])) > 1.01/65536 {
			t.Fatalf("%s: sample %d is %g, want %g", what, i, got[i], want[i])
		}
	}
}

func TestWriteRead(t *testing.T) {
	dir := t.TempDir()
	begin := noon.Add(30*time.Second + 123456*time.Microsecond)
	x := sound(150*rate, 1)
	r := open(t, dir, Config{})
	write(r, x, begin)
	must(t, r.Close())
	if got := names(t, dir); !slices.Equal(got, []string{"120030.flac", "120100.flac", "120200.flac", "120300.flac"}) {
		t.Fatalf("%q", got)
	}
	got, s := readAll(t, dir, noon, noon.Add(time.Hour))
	near(t, "all", got, x)
	if !s.Begin.Equal(begin) || s.SampleRate() != rate || s.IQ || s.Lost() != 0 {
		t.Errorf("%v %v %v %d", s.Begin, s.SampleRate(), s.IQ, s.Lost())
	}
	// A part of it, to the sample.
	const from, n = 41*rate + 17, 60 * rate
	at := begin.Add(time.Duration(math.Round(float64(from) / rate * 1e9)))
	got, s = readAll(t, dir, at, at.Add(60*time.Second))
	near(t, "part", got, x[from:from+n])
	if d := s.Begin.Sub(at); d < -time.Microsecond || d > time.Microsecond {
		t.Error(s.Begin)
	}
	_, err := Read(dir, "north: 1/2", noon.Add(time.Hour), noon.Add(2*time.Hour))
	if err == nil || !strings.Contains(err.Error(), "there is no sound of receiver") {
		t.Error(err)
	}
	if _, err := Read(dir, "south", noon, noon.Add(time.Hour)); err == nil {
		t.Error("there is sound of another receiver")
	}
	// Others read it too, and know when it was.
	src, err := audio.Open(filepath.Join(r.folder, "2031/05/04/120100.flac"), audio.Options{})
	must(t, err)
	defer src.Close()
	first := math.Ceil(29.876544 * rate) // samples until the minute was over
	if d := src.Time(0).Sub(begin.Add(time.Duration(first / rate * 1e9))); d < -time.Second/rate || d > time.Second/rate || src.Length() != 60*rate {
		t.Errorf("%v %d", src.Time(0), src.Length())
	}
}

// What was lost is silence; what a clock that is set back tells of twice is there once.
func TestHoles(t *testing.T) {
	dir := t.TempDir()
	x := sound(60*rate, 2)
	r := open(t, dir, Config{})
	write(r, x[:20*rate], noon)
	write(r, x[30*rate:40*rate], noon.Add(30*time.Second))
	write(r, x[35*rate:50*rate], noon.Add(35*time.Second)) // the clock was set back by 5 s
	must(t, r.Close())
	got, s := readAll(t, dir, noon, noon.Add(time.Hour))
	want := slices.Concat(x[:20*rate], make([]float32, 10*rate), x[30*rate:50*rate])
	near(t, "with a hole", got, want)
	if s.Lost() != 10*rate {
		t.Error(s.Lost())
	}
	// A source whose clock is wrong by 700 ppm has no holes.
	dir = t.TempDir()
	r = open(t, dir, Config{})
	for i := range 180 {
		settle(r)
		r.Write(x[i%60*rate:(i%60+1)*rate], noon.Add(time.Duration(float64(i)*1.0007*1e9)))
	}
	must(t, r.Close())
	got, s = readAll(t, dir, noon, noon.Add(time.Hour))
	if len(got) != 180*rate || s.Lost() != 0 {
		t.Error(len(got), s.Lost())
	}
}

func TestIQ(t *testing.T) {
	dir := t.TempDir()
	x, y := sound(70*rate, 3), sound(70*rate, 4)
	z := make([]complex64, len(x))
	for i := range z {
		z[i] = complex(x[i], y[i])
	}
	r := open(t, dir, Config{IQ: true})
	for i := 0; i < len(z); i += rate {
		settle(r)
		r.WriteIQ(z[i:i+rate], noon.Add(time.Duration(i/rate)*time.Second))
	}
	must(t, r.Close())
	s, err := Read(dir, "north: 1/2", noon, noon.Add(time.Hour))
	must(t, err)
	defer s.Close()
	got := make([]complex64, 0, len(z))
	b := make([]complex64, 777)
	for {
		n, err := s.ReadIQ(b)
		got = append(got, b[:n]...)
		if err == io.EOF {
			break
		}
		must(t, err)
	}
	var re, im []float32
	for _, v := range got {
		re, im = append(re, real(v)), append(im, imag(v))
	}
	near(t, "I", re, x)
	near(t, "Q", im, y)
	if !s.IQ {
		t.Error("it is audio")
	}
}

// Of a piece in progress all but the last second is kept, wherever it is torn.
func TestKilled(t *testing.T) {
	dir := t.TempDir()
	x := sound(45*rate, 5)
	r := open(t, dir, Config{})
	write(r, x, noon)
	settle(r)
	part := filepath.Join(r.folder, "2031/05/04/120000.flac.part")
	b, err := os.ReadFile(part) // as it is when the program is killed
	must(t, err)
	random := rand.New(rand.NewPCG(6, 1))
	for trial := range 20 {
		torn := t.TempDir()
		cut := len(b)
		if trial > 0 {
			cut = random.IntN(len(b))
		}
		to := filepath.Join(folderOf(torn, "north: 1/2"), "2031/05/04")
		must(t, os.MkdirAll(to, 0o777))
		must(t, os.WriteFile(filepath.Join(to, "120000.flac.part"), b[:cut], 0o666))
		r := open(t, torn, Config{})
		must(t, r.Close())
		if cut < 10_000 { // a frame is 4096 samples of less than 16 bits
			continue
		}
		if got := names(t, torn); !slices.Equal(got, []string{"120000.flac"}) {
			t.Fatalf("%q", got)
		}
		got, s := readAll(t, torn, noon, noon.Add(time.Minute))
		near(t, "kept", got, x[:len(got)])
		if least := len(x)*cut/len(b) - rate; len(got) < least || !s.Begin.Equal(noon) {
			t.Errorf("%d samples of %d bytes of %d, begin %v", len(got), cut, len(b), s.Begin)
		}
		if trial == 0 && len(got) < len(x)-rate {
			t.Errorf("%d samples of %d are kept", len(got), len(x))
		}
	}
	// The folder of a program that lives is left alone.
	other := open(t, dir, Config{})
	must(t, other.Close())
	if _, err := os.Stat(part); err != nil {
		t.Error(err)
	}
}

func TestTrim(t *testing.T) {
	dir := t.TempDir()
	x := sound(10*60*rate, 7)
	r := open(t, dir, Config{Age: 5 * time.Minute})
	write(r, x, noon)
	must(t, r.Close())
	favourite := func(begin, end time.Time) bool {
		return begin.Before(noon.Add(90*time.Second)) && end.After(noon.Add(80*time.Second))
	}
	deleted, err := r.Trim(noon.Add(10*time.Minute), favourite)
	must(t, err)
	want := []string{"120100.flac", "120400.flac", "120500.flac", "120600.flac", "120700.flac", "120800.flac", "120900.flac"}
	if got := names(t, dir); !slices.Equal(got, want) || len(deleted) != 3 {
		t.Errorf("%q, %d deleted", got, len(deleted))
	}
	size := r.Stats().Bytes / 7
	r = open(t, dir, Config{Bytes: 3*size + size/2})
	if s := r.Stats(); s.Pieces != 7 {
		t.Errorf("%+v", s)
	}
	_, err = r.Trim(noon, favourite) // whatever the clock says
	must(t, err)
	if got := names(t, dir); !slices.Equal(got, []string{"120100.flac", "120700.flac", "120800.flac", "120900.flac"}) {
		t.Errorf("%q", got)
	}
	_, err = r.Trim(noon, nil)
	must(t, err)
	if got := names(t, dir); len(got) != 3 {
		t.Errorf("%q", got)
	}
}

// While nothing can be written the sound is dropped and counted; then it goes on.
func TestTrouble(t *testing.T) {
	dir := t.TempDir()
	r := open(t, dir, Config{})
	x := sound(20*rate, 8)
	must(t, os.WriteFile(filepath.Join(r.folder, "2031"), nil, 0o666)) // where a folder should be
	r.Write(x[:9*rate], noon)
	for r.Stats().Trouble == nil {
		time.Sleep(time.Millisecond)
	}
	must(t, os.Remove(filepath.Join(r.folder, "2031")))
	for r.Stats().Trouble != nil {
		time.Sleep(time.Millisecond)
	}
	write(r, x[9*rate:], noon.Add(9*time.Second))
	must(t, r.Close())
	got, s := readAll(t, dir, noon, noon.Add(time.Hour))
	near(t, "what waited and what came then", got, x)
	if st := r.Stats(); st.Trouble != nil || st.Dropped > 0 || !s.Begin.Equal(noon) {
		t.Errorf("%+v from %v", st, s.Begin)
	}
}

// A writer never waits: what is too much is dropped.
func TestQueue(t *testing.T) {
	r := open(t, t.TempDir(), Config{})
	x := sound(rate, 9)
	for i := range 1000 {
		r.Write(x, noon.Add(time.Duration(i)*time.Second))
	}
	must(t, r.Close())
	s := r.Stats()
	kept, _ := readAll(t, filepath.Dir(filepath.Dir(r.folder)), noon, noon.Add(time.Hour))
	if int64(len(kept))+s.Dropped < 1000*rate { // what is kept may have silence in the place of what is not
		t.Errorf("%d kept, %d dropped", len(kept), s.Dropped)
	}
}

func TestBadRate(t *testing.T) {
	for _, hz := range []float64{0, -1, 2e6, math.NaN()} {
		if _, err := Open(t.TempDir(), "x", Config{SampleRate: hz}); err == nil {
			t.Error(hz)
		}
	}
}

func TestFolders(t *testing.T) {
	seen := map[string]bool{}
	for _, name := range []string{"north", "", ".", "..", "a/b", `a\b`, "a b", "a:b", "nörd", "A%2FB"} {
		f := folderOf("dir", name)
		if rel, err := filepath.Rel(filepath.Join("dir", "sound"), f); err != nil || strings.ContainsAny(rel, `/\`) || rel == "." || rel == ".." || seen[f] {
			t.Errorf("%q: %s", name, f)
		}
		seen[f] = true
	}
}

func FuzzPiece(f *testing.F) {
	dir := f.TempDir()
	r, err := Open(dir, "x", Config{SampleRate: rate})
	must(f, err)
	r.Write(sound(2*rate, 1), noon)
	must(f, r.Close())
	b, err := os.ReadFile(r.pieces[0].Path)
	must(f, err)
	f.Add(b)
	f.Fuzz(func(t *testing.T, b []byte) {
		path := filepath.Join(t.TempDir(), "120000.flac")
		must(t, os.WriteFile(path, b, 0o666))
		p, err := openPiece(path)
		if err != nil {
			return
		}
		defer p.close()
		for range 100 {
			if _, err := p.next(); err != nil {
				if errors.Is(err, io.EOF) {
					return
				}
				return
			}
		}
	})
}

// BenchmarkWrite reports what a second of sound costs.
func BenchmarkWrite(b *testing.B) {
	for name, c := range map[string]Config{"audio12k": {SampleRate: 12000}, "iq96k": {SampleRate: 96000, IQ: true}} {
		b.Run(name, func(b *testing.B) {
			r := open(b, b.TempDir(), c)
			x := sound(int(c.SampleRate), 1)
			z := make([]complex64, len(x))
			for i := range z {
				z[i] = complex(x[i], x[len(x)-1-i])
			}
			w := &pieceWriter{ring: r}
			at := noon
			for b.Loop() {
				block := block{at: at}
				if c.IQ {
					for _, v := range z {
						block.samples = append(block.samples, sample16(real(v)), sample16(imag(v)))
					}
				} else {
					for _, v := range x {
						block.samples = append(block.samples, sample16(v))
					}
				}
				_, err := w.write(block)
				must(b, err)
				at = at.Add(time.Second)
			}
			must(b, w.finish())
			s := r.Stats()
			b.ReportMetric(float64(s.Bytes)/float64(b.N), "bytes/s")
		})
	}
}

// When the clock is put back by an hour, what was heard before is deleted first, and not what is heard now.
func TestTrimAfterClockPutBack(t *testing.T) {
	dir := t.TempDir()
	r := open(t, dir, Config{Bytes: 1})
	x := sound(3*60*rate, 10)
	write(r, x, noon)
	write(r, x, noon.Add(-time.Hour))
	must(t, r.Close())
	pieces := r.Stats().Pieces
	r.config.Bytes = r.Stats().Bytes / 2
	gone, err := r.Trim(noon.Add(-57*time.Minute), nil)
	must(t, err)
	if len(gone) != 3 || pieces != 6 || !gone[0].Begin.Equal(noon) || !gone[2].Begin.Equal(noon.Add(2*time.Minute)) {
		t.Errorf("%d pieces, deleted %v", pieces, gone)
	}
}
