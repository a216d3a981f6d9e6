package grade

import (
	"os/exec"
	"strings"
	"testing"

	"ionoscribe/samples"
)

func TestFindRecording(t *testing.T) {
	if r, err := FindRecording(NoRecording); r != nil || err != nil || r.String() != NoRecording {
		t.Error(r, err)
	}
	for _, name := range []string{"", "mp3", "mp3-", "mp3-5", "mp3-1000", "aac-64", "mp3-64k"} {
		if _, err := FindRecording(name); err == nil {
			t.Error(name)
		}
	}
	t.Setenv("PATH", t.TempDir())
	if _, err := FindRecording("mp3-64"); err == nil || !strings.Contains(err.Error(), "install it") {
		t.Error(err)
	}
}

// A recording keeps the audio's length and place, if an encoder is there to make one.
func TestRecording(t *testing.T) {
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("needs ffmpeg")
	}
	for _, name := range []string{"mp3-64", "opus-64", "vorbis-64"} {
		r, err := FindRecording(name)
		if err != nil {
			t.Fatal(err)
		}
		s, err := samples.NewRTTY(samples.RTTYConfig{Text: "GALE WARNING"})
		if err != nil {
			t.Fatal(err)
		}
		clean, err := samples.ReadAll(s)
		if err != nil {
			t.Fatal(err)
		}
		got, err := r.Through(&playback{clean, s.SampleRate()})
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(got)
		if err != nil {
			t.Fatal(err)
		}
		if by := len(x) - len(clean)*4; by < -8 || by > 8 {
			t.Errorf("%s: %d samples too many of %d", name, by, len(x))
		}
		// The same place: the sum of products is that of the powers.
		var cross, a, b float64
		for i, v := range clean[:len(clean)-100] {
			w := float64(x[4*i])
			cross, a, b = cross+float64(v)*w, a+float64(v)*float64(v), b+w*w
		}
		if c := cross * cross / (a * b); c < 0.95 {
			t.Errorf("%s: correlation %.3f", name, c)
		}
	}
}
