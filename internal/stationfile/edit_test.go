package stationfile

import (
	"reflect"
	"strings"
	"testing"

	"ionoscribe/internal/alerts"
)

// draftOf is one of a text, which needs no file until it is saved.
func draftOf(text string) *Draft { return &Draft{path: Name, text: []byte(text)} }

func TestSetReceiver(t *testing.T) {
	north := ReceiverTable{Name: "north", Source: "device:default", Dial: "7878.1 kHz", Copy: []string{"fax"}}
	for _, c := range []struct {
		what, old, by string
		to            ReceiverTable
	}{
		{
			"one value, and the comments stay",
			"# Roof\n[[receiver]] # the first\n\tname = 'north' # its name\n\n\tsource = \"device:a\" # plug 1\n\tdial= \"7878.1 kHz\"\n\tcopy = [\"fax\",]\n# below\n[keep]\n",
			"# Roof\n[[receiver]] # the first\n\tname = 'north' # its name\n\n\tsource = \"device:default\" # plug 1\n\tdial= \"7878.1 kHz\"\n\tcopy = [\"fax\",]\n# below\n[keep]\n", north,
		},
		{
			"keys that come and go; the command stays",
			"[[receiver]]\r\nname = \"north\"\r\nplace = \"Hut\" # here\r\nsource = \"device:default\"\r\n\r\n[receiver.tune]\r\ncommand = [\"x\"]\r\n",
			"[[receiver]]\r\nname = \"north\"\r\nsource = \"device:default\"\r\ndial = \"7878.1 kHz\"\r\ncopy = [\"fax\"]\r\n\r\n[receiver.tune]\r\ncommand = [\"x\"]\r\n", north,
		},
		{
			"the last line has no end",
			"[[receiver]]\n  name = \"north\"\n  source = \"device:default\"",
			"[[receiver]]\n  name = \"north\"\n  source = \"device:default\"\n  dial = \"7878.1 kHz\"\n  copy = [\"fax\"]\n", north,
		},
		{
			"text that TOML would misread",
			"[[receiver]]\nname = \"north\"\nsource = \"\"\"a\nb\"\"\" # old\n",
			"[[receiver]]\nname = \"north\"\nsource = \"a\\\"b\\\\c\\u000A[[receiver]]\" # old\n", ReceiverTable{Name: "north", Source: "a\"b\\c\n[[receiver]]"},
		},
		{
			"a new one stands behind the last, and behind its comments",
			"[[receiver]]\nname = \"south\"\nsource = \"x\"\n# dial = \"1 kHz\"\n\n# Sound:\n# sound = \"1 h\"\n\n# --- Kept ---\n\n# All.\n[keep]\n",
			"[[receiver]]\nname = \"south\"\nsource = \"x\"\n# dial = \"1 kHz\"\n\n# Sound:\n# sound = \"1 h\"\n\n" +
				"[[receiver]]\nname = \"north\"\nsource = \"device:default\"\ndial = \"7878.1 kHz\"\ncopy = [\"fax\"]\n\n# --- Kept ---\n\n# All.\n[keep]\n", north,
		},
		{
			"a comment right above the next table is that one's",
			"[[receiver]]\nname = \"south\"\nsource = \"x\"\n# sound = \"1 h\"\n\n# All.\n[keep]\n",
			"[[receiver]]\nname = \"south\"\nsource = \"x\"\n# sound = \"1 h\"\n\n[[receiver]]\nname = \"north\"\n\n# All.\n[keep]\n", ReceiverTable{Name: "north"},
		},
		{"the first of all", "name = \"Hut\" # mine", "name = \"Hut\" # mine\n\n[[receiver]]\nname = \"north\"\n", ReceiverTable{Name: "north"}},
		{"an empty file", "", "[[receiver]]\nname = \"north\"\n", ReceiverTable{Name: "north"}},
	} {
		d := draftOf(c.old)
		if err := d.SetReceiver("north", c.to); err != nil || d.Text() != c.by {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.what, err, d.Text(), c.by)
		}
		again := d.Text()
		if err := d.SetReceiver("north", c.to); err != nil || d.Text() != again {
			t.Errorf("%s, again: %v\n%s", c.what, err, d.Text())
		}
	}
}

func TestSetAlert(t *testing.T) {
	gale := alerts.Rule{Name: "gale", Text: []string{"GALE*"}, Ways: []string{"script"}, Quiet: []alerts.Hours{{From: 1320, To: 360}}, LeastInterval: alerts.Duration(30 * 60e9)}
	band := alerts.Rule{Name: "band", Signal: &alerts.Range{FromHz: 4e6, ToHz: 4.5e6}, Ways: []string{"script"}}
	const head = "[[receiver]]\nname = \"gale\"\n\n"
	for _, c := range []struct {
		what, old, by, name string
		to                  alerts.Rule
	}{
		{
			"what is written in another way is not touched",
			head + "[[alert]]\nquiet = [\n  \"22:00 - 6:00\", # night\n]\nleast_interval = \"0.5h\"\nname = \"gale\"\ntext = [\"STORM\"]\nways = [\"script\"]\n",
			head + "[[alert]]\nquiet = [\n  \"22:00 - 6:00\", # night\n]\nleast_interval = \"0.5h\"\nname = \"gale\"\ntext = [\"GALE*\"]\nways = [\"script\"]\n", "gale", gale,
		},
		{
			"new", head, head + "[[alert]]\nname = \"gale\"\ntext = [\"GALE*\"]\nways = [\"script\"]\nquiet = [\"22:00-06:00\"]\nleast_interval = \"30m\"\n", "gale", gale,
		},
		{
			"another name, and a condition that was a table",
			head + "[[alert]]\nname = \"old\"\nways = [\"script\"]\n[alert.signal]\nfrom_hz = 1\nto_hz = 2\n\n[[alert]]\nname = \"other\"\n",
			head + "[[alert]]\nname = \"band\"\nways = [\"script\"]\nsignal = { from_hz = 4000000, to_hz = 4500000 }\n\n[[alert]]\nname = \"other\"\n", "old", band,
		},
		{
			"keys with dots",
			"[[alert]]\nname = \"band\"\nsignal.from_hz = 1 # low\nways = [\"script\"]\nsignal.to_hz = 2\n",
			"[[alert]]\nname = \"band\"\nways = [\"script\"]\nsignal = { from_hz = 4000000, to_hz = 4500000 }\n", "band", band,
		},
		{
			"one that is wrong is put right",
			"[[alert]]\nname = \"band\"\nsignal = 7\nways = [\"script\"]\nquiet = \"x\"\n",
			"[[alert]]\nname = \"band\"\nsignal = { from_hz = 4000000, to_hz = 4500000 }\nways = [\"script\"]\n", "band", band,
		},
	} {
		d := draftOf(c.old)
		if err := d.SetAlert(c.name, c.to); err != nil || d.Text() != c.by {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.what, err, d.Text(), c.by)
		}
	}
}

func TestRemove(t *testing.T) {
	const before, after = "# Top\nname = \"Hut\"\n\n# Roof\n", "# below\n\n[[receiver]]\nname = \"south\"\n"
	d := draftOf(before + "[[receiver]]\nname = \"north\" # x\n# within\nsource = \"y\"\n[receiver.tune]\ncommand = [\"z\"]\n" + after)
	if err := d.RemoveReceiver("north"); err != nil || d.Text() != before+after {
		t.Errorf("%v\n%s", err, d.Text())
	}
	if err := d.RemoveReceiver("north"); err == nil {
		t.Error("it is removed twice")
	}
	must(t, d.RemoveReceiver("south"))
	if want := before + "# below\n\n"; d.Text() != want {
		t.Errorf("%q, want %q", d.Text(), want)
	}
}

// What is not written as tables is not changed, and not damaged.
func TestNotTables(t *testing.T) {
	for _, text := range []string{`receiver = [{ name = "north" }]`, `receiver = 1`, "[receiver]\nname = \"north\"\n", "name = ["} {
		d := draftOf(text)
		if err := d.SetReceiver("north", ReceiverTable{Name: "north"}); err == nil || d.Text() != text {
			t.Errorf("%s: %v\n%s", text, err, d.Text())
		}
		if err := d.RemoveReceiver("north"); err == nil || d.Text() != text {
			t.Errorf("%s: %v\n%s", text, err, d.Text())
		}
	}
}

func TestReceiverTables(t *testing.T) {
	d := draftOf("[[receiver]]\nname = \"north\"\nchannel = 2\ncopy = \"all\"\nhours = [\"18:00-06:30\"]\n[[receiver]]\nsource = \"x\"\n")
	want := []ReceiverTable{{Name: "north", Channel: "2", Copy: []string{"all"}, Hours: []string{"18:00-06:30"}}, {Source: "x"}}
	if got := d.Receivers(); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v", got)
	}
	if text := d.ReceiverText("north"); !strings.HasPrefix(text, "[[receiver]]\nname") || !strings.HasSuffix(text, "06:30\"]\n") || d.ReceiverText("x") != "" {
		t.Errorf("%q", text)
	}
}
