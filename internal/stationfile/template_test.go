package stationfile

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/fault"
)

// A new configuration is right, whatever devices are called.
func TestTemplate(t *testing.T) {
	for _, sources := range [][]string{nil, {"device:default"}, {`device:"odd" \ name ö`, "device:it's", "device:b\nc"}} {
		c, err := Load(put(t, Name, string(Template(sources))))
		if err != nil || len(c.Receivers) != 1 || c.Receivers[0].Sound != 12*time.Hour {
			t.Fatal(err)
		}
		want := "device:default"
		if len(sources) > 0 {
			want = sources[0]
		}
		if c.Receivers[0].Source != want {
			t.Errorf("%s", c.Receivers[0].Source)
		}
	}
	if text := string(Template([]string{"device:a", "device:b", "device:c"})); !strings.Contains(text, "# source = 'device:b'\n# source = 'device:c'\n") {
		t.Error(text)
	}
}

// What is a comment in it is right too, if it is taken out of the comment.
func TestTemplateComments(t *testing.T) {
	text := string(Template([]string{"device:a"}))
	text = regexp.MustCompile(`(?m)^# (\[\[|\[page\]|[a-z_0-9]+ = )`).ReplaceAllString(text, "$1")
	text = strings.Replace(text, `name = "gale"`, `name = "gale" # is there`, 1)
	path := put(t, Name, text)
	putCertificate(t, filepath.Dir(path))
	must(t, os.WriteFile(filepath.Join(filepath.Dir(path), "programme.csv"), []byte("title,times\nMore,05:00\n"), 0o666))
	c, err := Load(path)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if len(c.Programme) != 3 || len(c.Alerts) != 3 || len(c.Ways) != 1 || c.Receivers[0].Tune == nil || c.Receivers[0].SoundBytes != 2e9 || c.Receivers[0].IQ != "normal" ||
		len(c.Page.Users) != 1 || len(c.Page.Tokens) != 1 {
		t.Errorf("%+v", c)
	}
}

// A folder is made, and nothing is overwritten.
func TestInit(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "a", "station")
	must(t, Init(folder, []string{"device:a"}))
	path := filepath.Join(folder, Name)
	if _, err := Load(path); err != nil {
		t.Error(err)
	}
	must(t, os.WriteFile(path, []byte("mine"), 0o666))
	err := Init(folder, nil)
	if e, ok := err.(*fault.Error); !ok || e.Path != path || !strings.Contains(e.Error(), "it is there already, and stays as it is") {
		t.Error(err)
	}
	if text, _ := os.ReadFile(path); string(text) != "mine" {
		t.Errorf("%s", text)
	}
	if err := Init(filepath.Join(path, "below"), nil); err == nil {
		t.Error("a folder was made in a file")
	}
}
