package web

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/stationfile"
)

// answered sends a request of somebody who may change things, wants a status and reads the answer into v.
func answered(t *testing.T, s *Server, method, target, body string, status int, v any) {
	t.Helper()
	a := ask(s, request(method, target, "change", body))
	if a.Code != status {
		t.Fatalf("%s %s: %d, want %d: %s", method, target, a.Code, status, a.Body)
	}
	must(t, json.Unmarshal(a.Body.Bytes(), v))
}

func (s *Server) fileText(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(s.configPath())
	must(t, err)
	return string(text)
}

// A receiver is changed in its place, with comments kept, and shown before that.
func TestChangeReceiver(t *testing.T) {
	s := smallServer(t)
	const changed = "[[receiver]] # on the roof\nname = \"north\"\nsource = \"device:other\"\ndial = \"7880 kHz\"\nhours = [\"18:00-06:30\"]\n"
	const body = `{"source": "device:other", "dial": "7880 kHz", "hours": ["18:00-06:30"]}`
	var w written
	answered(t, s, "PUT", "/api/station/receivers/north?dry_run=true", body, 200, &w)
	if w.Written || w.Text != changed || s.fileText(t) != configuration {
		t.Errorf("%+v", w)
	}
	answered(t, s, "PUT", "/api/station/receivers/north", body, 200, &w)
	before, after, _ := strings.Cut(configuration, "[[receiver]] # on the roof\nname = \"north\"\nsource = \"device:none\"\ndial = \"7878.1 kHz\"\n")
	if !w.Written || w.Text != changed || s.fileText(t) != before+changed+after {
		t.Errorf("%+v\n%s", w, s.fileText(t))
	}
	answered(t, s, "PUT", "/api/station/receivers/south", `{"source": "tcp://10.0.0.7:1234"}`, 200, &w)
	answered(t, s, "DELETE", "/api/station/receivers/north", "", 200, &w)
	if c, err := stationfile.Load(s.configPath()); err != nil || len(c.Receivers) != 1 || c.Receivers[0].Name != "south" {
		t.Errorf("%+v %v", c, err)
	}
}

// What would be wrong is told with its place in the text, and not written.
func TestWrongReceiver(t *testing.T) {
	s := smallServer(t)
	var p problem
	answered(t, s, "PUT", "/api/station/receivers/north", `{"source": "device:x", "dial": "7878", "copy": ["wax"]}`, 422, &p)
	if len(p.Problems) != 2 || p.Problems[0].Line != 8 || p.Problems[0].Mend == "" || s.fileText(t) != configuration {
		t.Errorf("%+v", p)
	}
}

// If the file cannot be written, what is to stand there is told.
func TestReceiverByHand(t *testing.T) {
	s := smallServer(t)
	longest := filepath.Join(s.Folder, strings.Repeat("x", 250)) // beside it no file can be made
	must(t, os.Rename(s.configPath(), longest))
	must(t, os.Symlink(longest, s.configPath()))
	var w written
	answered(t, s, "PUT", "/api/station/receivers/south", `{"source": "device:b"}`, 200, &w)
	if w.Written || !strings.Contains(w.Text, `name = "south"`) || w.Why == "" || s.fileText(t) != configuration {
		t.Errorf("%+v", w)
	}
}

// Whoever may change things may not run commands thereby, read files, or let others in.
func TestNotPermitted(t *testing.T) {
	s := smallServer(t)
	for _, text := range []string{
		strings.Replace(configuration, `"true"`, `"sh"`, 1),
		strings.Replace(configuration, `[[way]]`, "[[way]]\nname = \"more\"\ncommand = [\"sh\"]\n\n[[way]]", 1),
		strings.Replace(configuration, `127.0.0.1:8073`, `127.0.0.1:8074`, 1),
		strings.Replace(configuration, `source = "device:none"`, `source = "/etc/hostname"`, 1),
		strings.Replace(configuration, `source = "device:none"`, "source = \"device:none\"\ntune = { command = [\"sh\"] }", 1),
		strings.Replace(configuration, `name = "north"`, "name = \"other\"\ntune = { command = [\"sh\"] }", 1),
		configuration + "[[page.token]]\nname = \"x\"\nrole = \"change\"\nsha256 = \"" + strings.Repeat("0", 64) + "\"\n",
		configuration + "[page]\nhosts = [\"evil.example\"]\n",
	} {
		a := ask(s, request("PUT", "/api/station/config", "change", configBody(text)))
		if a.Code != 403 || s.fileText(t) != configuration {
			t.Errorf("%d %s\n%s", a.Code, a.Body, text)
		}
	}
	more := filepath.Join(s.Folder, "more.csv")
	must(t, os.WriteFile(more, []byte("id,times\ngale,09:00\n"), 0o666))
	if a := ask(s, request("PUT", "/api/station/config", "change", configBody("programme_files = [\"more.csv\"]\n"+configuration))); a.Code != 403 {
		t.Errorf("%d %s", a.Code, a.Body)
	}
}

// The command that tunes a receiver stays when the page changes the receiver.
func TestTuneStays(t *testing.T) {
	s := smallServer(t)
	with := strings.Replace(configuration, "dial =", "tune = { command = [\"set-dial\", \"{khz}\"] } # mine\ndial =", 1)
	must(t, os.WriteFile(s.configPath(), []byte(with), 0o666))
	c, err := stationfile.Load(s.configPath())
	must(t, err)
	must(t, s.Station.Change(c))
	var w written
	answered(t, s, "PUT", "/api/station/receivers/north", `{"source": "device:none", "dial": "7878.1 kHz", "place": "Hut"}`, 200, &w)
	if want := strings.Replace(with, "dial = \"7878.1 kHz\"\n", "dial = \"7878.1 kHz\"\nplace = \"Hut\"\n", 1); s.fileText(t) != want {
		t.Errorf("%s", s.fileText(t))
	}
}

// The text is for those who may change it; what is wrong with it is told to all.
func TestStationView(t *testing.T) {
	s := smallServer(t)
	must(t, os.WriteFile(s.configPath(), []byte(configuration+"colour = 1\n"), 0o666))
	for token, sees := range map[string]bool{"look": false, "change": true} {
		a := ask(s, request("GET", "/api/station", token, ""))
		var f stationForm
		must(t, json.Unmarshal(a.Body.Bytes(), &f))
		if (f.Config.Text != nil) != sees || (f.Config.SHA256 != "") != sees || (f.Config.Path != "") != sees || f.Config.Writable != sees {
			t.Errorf("%s: %+v", token, f.Config)
		}
		if p := f.Config.Problems; len(p) != 1 || p[0].Line != 24 || !strings.Contains(p[0].Message, "colour") {
			t.Errorf("%s: %+v", token, p)
		}
		if r := f.Receivers; len(r) != 1 || r[0].Now == nil || r[0].Keys == nil || r[0].Keys.Dial != "7878.1 kHz" || !r[0].IsFile || r[0].Tunes {
			t.Errorf("%s: %+v", token, r)
		}
		if f.Disk == nil || f.Disk.Total < f.Disk.Free || f.IncidentCount != len(f.Incidents) || len(f.Cautions) == 0 || len(f.Deleted) != 1 || f.Deleted[0].Bytes != 1000 {
			t.Errorf("%s: %s", token, a.Body)
		}
	}
}
