package filing

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is kept is bounded.
func TestAppenderBound(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	var notes strings.Builder
	a := Appender{path: filepath.Join(file, "log"), trouble: &Trouble{Note: func(line string) { notes.WriteString(line + "\n") }}}
	for range 3 * mostKept / 1000 {
		a.Write(make([]byte, 1000))
	}
	if len(a.pending) != mostKept || strings.Count(notes.String(), "\n") != 2 {
		t.Errorf("%d bytes are kept; %q", len(a.pending), notes.String())
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if err := a.Close(); err == nil || !strings.Contains(err.Error(), "were lost") || !strings.Contains(notes.String(), "can be written again; some was lost") {
		t.Errorf("%v %q", err, notes.String())
	}
}
