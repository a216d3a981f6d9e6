package filing

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A transmission of a recording that is read again takes the place of its file, but never that of another one of the same
// run; one of a source that cannot be read again takes no place.
func TestTranscriptReplaces(t *testing.T) {
	dir := t.TempDir()
	begun := time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)
	write := func(again bool, written map[string]bool, text string) string {
		x := newTranscript(filepath.Join(dir, "a"), "heading", again, written, 0, &Trouble{}, func(string, string) {})
		for _, r := range text {
			x.char(string(r), 1, begun)
		}
		x.end(begun, 10)
		if err := x.close(); err != nil {
			t.Fatal(err)
		}
		return filepath.Base(x.path())
	}
	holds := func(name, text string) {
		t.Helper()
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !strings.HasPrefix(string(b), "heading\n\n2031-05-04T12:00:00Z  "+text+"\n") {
			t.Errorf("%s: %q %v", name, b, err)
		}
	}
	for run := range 2 {
		written := map[string]bool{}
		for i, text := range []string{"FIRST", "SECOND"} {
			want := []string{"a.txt", "a_2.txt"}[i]
			if name := write(true, written, text); name != want {
				t.Errorf("run %d: %s, want %s", run, name, want)
			}
			holds(want, text)
		}
	}
	if name := write(false, map[string]bool{}, "LIVE"); name != "a_3.txt" {
		t.Error(name)
	}
	holds("a.txt", "FIRST")
}
