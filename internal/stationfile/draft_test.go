package stationfile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/fault"
)

func edited(t *testing.T, path string) *Draft {
	t.Helper()
	d, err := Edit(path)
	must(t, err)
	return d
}

func TestSave(t *testing.T) {
	path := putFull(t)
	must(t, os.Chmod(path, 0o640))
	link := filepath.Join(t.TempDir(), Name)
	must(t, os.Symlink(path, link))
	d := edited(t, link)
	must(t, d.RemoveAlert("missed"))
	rule := alerts.Rule{Name: "gale", Text: []string{"GALE*"}, Ways: []string{"script"}}
	must(t, d.SetAlert("gale", rule))
	// The programme files are beside the file that the link names.
	if err := d.Save(); err == nil || !strings.Contains(err.Error(), "programme file") {
		t.Error(err)
	}
	d = edited(t, path)
	must(t, d.RemoveAlert("missed"))
	must(t, d.SetAlert("gale", rule))
	must(t, d.Save())
	c, err := Load(path)
	must(t, err)
	if len(c.Alerts) != 1 || c.Alerts[0].Name != "gale" || c.Alerts[0].Text[0] != "GALE*" {
		t.Errorf("%+v", c.Alerts)
	}
	if fi, err := os.Stat(path); err != nil || fi.Mode() != 0o640 {
		t.Errorf("%v %v", fi.Mode(), err)
	}
	must(t, d.RemoveReceiver("quiet")) // the draft goes on from what it has written
	must(t, d.Save())
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*")); len(left) != 3 {
		t.Errorf("files are left behind: %q", left)
	}
}

// A link stays one.
func TestSaveThroughLink(t *testing.T) {
	path := put(t, Name, "[[receiver]]\nname = \"north\"\nsource = \"x\"\n")
	link := filepath.Join(t.TempDir(), Name)
	must(t, os.Symlink(path, link))
	d := edited(t, link)
	must(t, d.SetReceiver("north", ReceiverTable{Name: "north", Source: "y"}))
	must(t, d.Save())
	if fi, err := os.Lstat(link); err != nil || fi.Mode()&os.ModeSymlink == 0 {
		t.Errorf("%v %v", fi.Mode(), err)
	}
	if text, _ := os.ReadFile(path); !strings.Contains(string(text), `source = "y"`) {
		t.Errorf("%s", text)
	}
}

// What would be wrong, and what somebody else has changed, is not written.
func TestSaveRefuses(t *testing.T) {
	path := putFull(t)
	d := edited(t, path)
	must(t, d.SetReceiver("north", ReceiverTable{Name: "north", Source: "x", Dial: "7878.1", Copy: []string{"fax", "wax"}}))
	var problems fault.Problems
	if err := d.Save(); !errors.As(err, &problems) || len(problems) != 2 || problems[0].Line == 0 {
		t.Errorf("%v", err)
	}
	must(t, d.RemoveReceiver("north")) // which a rule names
	if err := d.Save(); !errors.As(err, &problems) {
		t.Errorf("%v", err)
	}
	if text, _ := os.ReadFile(path); string(text) != full {
		t.Errorf("%s", text)
	}
	d = edited(t, path)
	must(t, d.RemoveReceiver("quiet"))
	must(t, os.WriteFile(path, []byte(full+"# mine\n"), 0o666))
	if err := d.Save(); !errors.Is(err, ErrChanged) {
		t.Errorf("%v", err)
	}
	if text, _ := os.ReadFile(path); string(text) != full+"# mine\n" {
		t.Errorf("%s", text)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*")); len(left) != 3 {
		t.Errorf("files are left behind: %q", left)
	}
}

func TestSaveChecksSources(t *testing.T) {
	d := edited(t, putFull(t))
	must(t, d.SetReceiver("north", ReceiverTable{Name: "north", Source: "no such"}))
	err := d.Save(func(r Receiver) error {
		if r.Source == "no such" {
			return errors.New("it is not known; write another")
		}
		return nil
	})
	if p, ok := errors.AsType[fault.Problems](err); !ok || p[0].Mend != "write another" {
		t.Errorf("%v", err)
	}
}

func TestWritable(t *testing.T) {
	path := putFull(t)
	d := edited(t, path)
	if !d.Writable() {
		t.Error("a new file is not writable")
	}
	must(t, os.Remove(path))
	if d.Writable() {
		t.Error("a file that is gone is writable")
	}
	if err := d.Save(); err == nil || errors.Is(err, ErrChanged) {
		t.Errorf("%v", err)
	}
}
