package chartfile

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/partfile"
)

// arrivingVideo is one of some lines of noise at 120 lines a minute, and what a decoder tells of it.
func arrivingVideo(lines int) (fax.Arriving, *fax.Video) {
	v := new(fax.Video)
	rng := rand.New(rand.NewPCG(1, 2))
	z := make([]complex64, lines*1800)
	for i := range z {
		z[i] = complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))
	}
	v.Append(z)
	return fax.Arriving{Config: fax.Config{SampleRate: 12000, Doubtful: true}, Base: 1200, From: 3600, IOC: 576, LPM: 120, Began: fax.BeganStartTone}, v
}

// begun is the file of a chart of 18 lines (19, if noise puts the line start before the first) after its program was killed, in three pieces.
func begun(t *testing.T, dir string, o Origin) string {
	t.Helper()
	a, v := arrivingVideo(7)
	r, err := BeginArriving(dir, "20260304T120000Z-fax-1900Hz", o, a, v)
	must(t, err)
	must(t, r.Add(v))
	must(t, r.Add(v)) // nothing new
	_, more := arrivingVideo(13)
	z := make([]complex64, more.End())
	more.Read(z, 0)
	v.Append(z)
	must(t, r.Add(v))
	must(t, r.Preview(testChart()))
	r.Close()
	return r.path
}

func names(t *testing.T, dir string) (n []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range entries {
		n = append(n, e.Name())
	}
	return n
}

// Whatever the program had come to when it was killed, the next one makes one chart of it, and the one after that none.
func TestAdopt(t *testing.T) {
	origin := Origin{Source: "rtp://127.0.0.1:5004", Start: zero, TimeFrom: "clock"}
	var name string // of the chart
	trial := t.TempDir()
	begun(t, trial, origin)
	Adopt(trial, nil, func(*Chart) string { return trial }, func(a Adopted) { name = a.Name() })
	if len(names(t, trial)) != 2 {
		t.Fatalf("%q", names(t, trial))
	}
	named := name + namedSuffix
	for stage, prepare := range map[string]func(dir, path string, whole []byte){
		"coming in": func(string, string, []byte) {},
		"torn":      func(_, path string, whole []byte) { must(t, os.WriteFile(path, whole[:len(whole)-100], 0o666)) },
		"picture reserved": func(dir, _ string, _ []byte) {
			must(t, os.WriteFile(filepath.Join(dir, name+".png.part"), []byte("half"), 0o666))
		},
		"named": func(dir, path string, _ []byte) {
			must(t, os.WriteFile(filepath.Join(dir, name+".png.part"), []byte("half"), 0o666))
			must(t, os.Rename(path, filepath.Join(dir, named)))
		},
		"video written": func(dir, path string, _ []byte) {
			must(t, os.WriteFile(filepath.Join(dir, name+".png.part"), []byte("half"), 0o666))
			must(t, os.WriteFile(filepath.Join(dir, name+".video"), []byte("video"), 0o666))
			must(t, os.Rename(path, filepath.Join(dir, named)))
		},
		"video failed": func(dir, path string, _ []byte) {
			must(t, os.WriteFile(filepath.Join(dir, name+".png"), []byte("picture"), 0o666))
			must(t, os.Rename(path, filepath.Join(dir, named)))
		},
		"saved": func(dir, path string, _ []byte) {
			must(t, os.WriteFile(filepath.Join(dir, name+".png"), []byte("picture"), 0o666))
			must(t, os.WriteFile(filepath.Join(dir, name+".video"), []byte("video"), 0o666))
			must(t, os.Rename(path, filepath.Join(dir, named)))
		},
	} {
		dir := t.TempDir()
		path := begun(t, dir, origin)
		whole, err := os.ReadFile(path)
		must(t, err)
		prepare(dir, path, whole)
		name := name
		for n := range 2 {
			var got []Adopted
			_, err := Prepare(dir)
			must(t, err)
			if errs := Adopt(dir, []string{"/elsewhere.wav"}, func(*Chart) string { return dir }, func(a Adopted) { got = append(got, a) }); errs != nil {
				t.Error(stage, errs)
			}
			if len(got) == 1 { // of what is torn the line start may be another
				name = got[0].Name()
			}
			if have := names(t, dir); !slices.Equal(have, []string{name + ".png", name + ".video"}) {
				t.Errorf("%s: %q", stage, have)
			}
			there := stage == "video failed" || stage == "saved" // it has been told of already
			if want := n == 0 && !there; want != (len(got) == 1) {
				t.Errorf("%s: %d charts", stage, len(got))
			} else if want && (got[0].Lines < 17 || got[0].Lines > 19 || got[0].Ended != EndedBroken || got[0].Source != origin.Source) {
				t.Errorf("%s: %+v", stage, got[0].Info)
			}
			if stage != "saved" {
				_, err := OpenVideo(filepath.Join(dir, name+".video"))
				must(t, err)
			}
		}
	}
}

func TestAdoptNot(t *testing.T) {
	adopted := func(dir string, recordings ...string) (n int, errs []error) {
		errs = Adopt(dir, recordings, func(*Chart) string { return dir }, func(Adopted) { n++ })
		return n, errs
	}
	dir := t.TempDir()
	// A recording that is read again.
	begun(t, dir, Origin{Recording: "/a.wav", Start: zero})
	if n, errs := adopted(dir, "/b.wav", "/a.wav"); n != 0 || errs != nil || len(names(t, dir)) != 0 {
		t.Error(n, errs, names(t, dir))
	}
	// What another still writes; two of the same name do not disturb each other.
	a, v := arrivingVideo(20)
	r, err := BeginArriving(dir, "x", Origin{Start: zero}, a, v)
	must(t, err)
	s, err := BeginArriving(dir, "x", Origin{Start: zero}, a, v)
	must(t, err)
	must(t, r.Add(v))
	if n, errs := adopted(dir); n != 0 || errs != nil || !slices.Equal(names(t, dir), []string{"arriving-x.video", "arriving-x_2.video"}) {
		t.Error(n, errs, names(t, dir))
	}
	s.Close() // no line of it was written
	if n, errs := adopted(dir); n != 0 || errs != nil || !slices.Equal(names(t, dir), []string{"arriving-x.video"}) {
		t.Error(n, errs, names(t, dir))
	}
	r.Remove()
	// Nothing yet, and what is no such file, which stays.
	must(t, os.WriteFile(filepath.Join(dir, "arriving-y.video"), []byte(arrivingMagic[:9]), 0o666))
	must(t, os.WriteFile(filepath.Join(dir, "arriving-z.video"), []byte("something else"), 0o666))
	if n, errs := adopted(dir); n != 0 || len(errs) != 1 || !slices.Equal(names(t, dir), []string{"arriving-z.video"}) {
		t.Error(n, errs, names(t, dir))
	}
}

// A piece that was not written is written by the next call, and nothing of it stands in the file before.
func TestArrivingAfterAnError(t *testing.T) {
	dir := t.TempDir()
	a, v := arrivingVideo(20)
	r, err := BeginArriving(dir, "x", Origin{Start: zero}, a, v)
	must(t, err)
	good := r.file
	r.file, err = os.Open(good.Name()) // nothing can be written to it
	must(t, err)
	if err := r.Add(v); err == nil {
		t.Error("no error")
	}
	r.file.Close()
	r.file = good
	_, err = good.WriteAt([]byte("half of a piece"), r.size) // as a disk that is full takes it
	must(t, err)
	must(t, r.Add(v))
	b, err := os.ReadFile(r.path)
	must(t, err)
	_, got, err := readArriving(bytes.NewReader(b))
	must(t, err)
	if got.End() != v.End()/256*256 {
		t.Errorf("%d of %d samples", got.End(), v.End())
	}
}

func FuzzReadArriving(f *testing.F) {
	dir := f.TempDir()
	a, v := arrivingVideo(10)
	r, err := BeginArriving(dir, "x", Origin{Start: zero}, a, v)
	must(f, err)
	must(f, r.Add(v))
	b, err := os.ReadFile(r.path)
	must(f, err)
	f.Add(b)
	f.Add(b[:300])
	f.Add([]byte(strings.Replace(string(b[:400]), `"From":3600`, `"From":-1`, 1)))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		h, v, err := readArriving(bytes.NewReader(b))
		if err == nil && v != nil {
			h.Finish(v, EndedBroken)
		}
	})
}

func TestPrepareSweeps(t *testing.T) {
	dir := t.TempDir()
	keep := []string{"20260304T120000Z-120-576.png", "film.mkv.part", "x.0123456789.part"}
	for _, n := range append([]string{"20260304T120000Z-120-576_2.png.part", "x.wav.01234567.part"}, keep...) {
		must(t, os.WriteFile(filepath.Join(dir, n), nil, 0o666))
	}
	held, err := partfile.Create(filepath.Join(dir, "y"))
	must(t, err)
	defer held.Close()
	_, err = Prepare(dir)
	must(t, err)
	if have := names(t, dir); !slices.Equal(have, slices.Sorted(slices.Values(append(keep, filepath.Base(held.Name()))))) {
		t.Errorf("%q", have)
	}
}

// A link to a file that is not there yet stays a link.
func TestDanglingLink(t *testing.T) {
	dir := t.TempDir()
	link, target := filepath.Join(dir, "link"), filepath.Join(dir, "target")
	must(t, os.Symlink("target", link))
	write := func(w io.Writer) error { _, err := w.Write([]byte("x")); return err }
	must(t, WriteFile(link, write))
	if to, err := os.Readlink(link); err != nil || to != "target" {
		t.Errorf("the link has become %q, %v", to, err)
	}
	if b, err := os.ReadFile(target); err != nil || string(b) != "x" {
		t.Errorf("%q %v", b, err)
	}
	must(t, os.Symlink("loop", filepath.Join(dir, "loop")))
	if err := WriteFile(filepath.Join(dir, "loop"), write); err == nil {
		t.Error("a link to itself is written")
	}
}
