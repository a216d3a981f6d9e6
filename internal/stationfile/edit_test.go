package stationfile

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ionoscribe/internal/alerts"
)

// Each edit of a text changes what it is to, and nothing else.
func TestEdit(t *testing.T) {
	for _, c := range []struct {
		name, text string
		edit       edit
		want       string
	}{
		{"a value", "[[receiver]]\nname = 'a' # on the roof\n  source='x'  # why\ndial=\"1 kHz\"\n\n# end",
			receiverEdit("a", &ReceiverTable{Name: "a", Source: "y", Dial: "1 kHz"}),
			"[[receiver]]\nname = 'a' # on the roof\n  source=\"y\"  # why\ndial=\"1 kHz\"\n\n# end"},
		{"a key more and one less", "[[receiver]]\nname = \"a\"\nsource = \"x\" # why\nhours = [ # at night\n \"18:00-06:00\", # [\n]\n# end\n",
			receiverEdit("a", &ReceiverTable{Name: "a", Source: "x", Copy: []string{"fax", "cw"}}),
			"[[receiver]]\nname = \"a\"\nsource = \"x\" # why\ncopy = [\"fax\", \"cw\"]\n# end\n"},
		{"what means the same stays", "[[receiver]]\nname = \"a\"\nsource = \"x\"\nchannel = 2\ncopy = 'fax'\n",
			receiverEdit("a", &ReceiverTable{Name: "a", Source: "x", Channel: "2", Copy: []string{"fax"}}),
			"[[receiver]]\nname = \"a\"\nsource = \"x\"\nchannel = 2\ncopy = 'fax'\n"},
		{"a duration in other words", "[[alert]]\nname = 'a'\nleast_interval = '120m'\ntext = ['X']\nways = ['w']\n",
			alertEdit("a", &alerts.Rule{Name: "a", Text: []string{"X"}, Ways: []string{"v"}, LeastInterval: 120 * 60e9}),
			"[[alert]]\nname = 'a'\nleast_interval = '120m'\ntext = ['X']\nways = [\"v\"]\n"},
		{"a table of its own becomes a value", "[[receiver]]\nname = \"a\"\nsource = \"x\"\n[receiver.tune]\ncommand = [\"t\"]\n\n[keep]\nsound = \"1 h\"\n",
			receiverEdit("a", &ReceiverTable{Name: "a", Source: "x", Tune: &TuneTable{Command: []string{"u"}}}),
			"[[receiver]]\nname = \"a\"\nsource = \"x\"\ntune = { command = [\"u\"] }\n\n[keep]\nsound = \"1 h\"\n"},
		{"one more", "[[receiver]]\nname = \"a\"\nsource = \"x\"\n# or else\n\n# Where it stands\n# dial = \"1 kHz\"\n\n# --- Kept\n\n[keep]\n",
			receiverEdit("b", &ReceiverTable{Name: "b", Source: "y"}),
			"[[receiver]]\nname = \"a\"\nsource = \"x\"\n# or else\n\n# Where it stands\n# dial = \"1 kHz\"\n\n[[receiver]]\nname = \"b\"\nsource = \"y\"\n\n# --- Kept\n\n[keep]\n"},
		{"the first, behind a line without end", "name = \"s\"", alertEdit("a", &alerts.Rule{Name: "a", Text: []string{"Q\""}, Ways: []string{"w"}}),
			"name = \"s\"\n\n[[alert]]\nname = \"a\"\ntext = [\"Q\\\"\"]\nways = [\"w\"]\n"},
		{"one less", "# A\n[[receiver]]\nname = \"a\"\n# x\nsource = \"x\"\n\n# B\n[[receiver]]\nname = \"b\"\nsource = \"y\"\n",
			receiverEdit("a", nil), "# A\n\n# B\n[[receiver]]\nname = \"b\"\nsource = \"y\"\n"},
		{"lines of another system", "[[receiver]]\r\nname = \"a\"\r\nsource = \"x\"\r\n", receiverEdit("a", &ReceiverTable{Name: "a", Source: "x", Dial: "1 kHz"}),
			"[[receiver]]\r\nname = \"a\"\r\nsource = \"x\"\r\ndial = \"1 kHz\"\r\n"},
		{"a line without end", "[[receiver]]\nname = \"a\"\nsource = \"x\"", receiverEdit("a", &ReceiverTable{Name: "a", Source: "x", Dial: "1 kHz"}),
			"[[receiver]]\nname = \"a\"\nsource = \"x\"\ndial = \"1 kHz\""},
		{"another name", "[[alert]]\nname = \"a\"\nsignal = { from_hz = 1000, to_hz = 2e3 }\nways = [\"w\"]\n",
			alertEdit("a", &alerts.Rule{Name: "b", Signal: &alerts.Range{FromHz: 1000, ToHz: 2000}, Ways: []string{"w"}}),
			"[[alert]]\nname = \"b\"\nsignal = { from_hz = 1000, to_hz = 2e3 }\nways = [\"w\"]\n"},
	} {
		got, from, to, err := c.edit.apply([]byte(c.text))
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.name, err, got, c.want)
		}
		if table := string(got[from:to]); c.edit.items != nil && !strings.HasPrefix(table, "[["+c.edit.array+"]]") {
			t.Errorf("%s: the table is %q", c.name, table)
		}
	}
}

func TestEditRefused(t *testing.T) {
	for text, want := range map[string]error{
		"[[receiver]]\nname = \"b\"\n":       ErrNoTable,
		"receiver = [{ name = \"a\" }]\n":    errByHand,
		"[receiver]\nname = \"a\"\n":         errByHand,
		"receiver = \"a\"\n[[alert]]\nx=1\n": errByHand,
	} {
		if _, _, _, err := receiverEdit("a", nil).apply([]byte(text)); !errors.Is(err, want) {
			t.Errorf("%q: %v, want %v", text, err, want)
		}
	}
	var wrong Problems
	if _, _, _, err := receiverEdit("a", nil).apply([]byte("name = \n")); !errors.As(err, &wrong) {
		t.Error(err)
	}
}

// configuration is a text that was written at random, with comments and spaces, and what is in it.
type configuration struct {
	parts     []string // the text; of each table two, with what is between the tables
	receivers map[string]int
	alerts    map[string]int // parts
}

func (c *configuration) text() string { return strings.Join(c.parts, "") }

func pick(r *rand.Rand, from ...string) string { return from[r.IntN(len(from))] }

func randomReceiver(r *rand.Rand, name string) *ReceiverTable {
	x := &ReceiverTable{Name: name, Source: pick(r, "device:USB", "rtp://10.0.0.7:5004?channel=right", `a"b\c#].wav`, "Nähe\t.flac"), Dial: pick(r, "", "7878.1 kHz", "4 MHz"),
		Sideband: pick(r, "", "upper", "lower"), Channel: pick(r, "", "mix", "3"), Sound: pick(r, "", "2 h", "none")}
	for range r.IntN(3) {
		x.Hours = append(x.Hours, pick(r, "18:00-06:30", "00:00-12:00"))
	}
	if r.IntN(3) == 0 {
		x.Tune = &TuneTable{Command: []string{"set-dial", pick(r, "{khz}", "--to={hz}")}, Timeout: pick(r, "", "3 s")}
	}
	return x
}

func randomRule(r *rand.Rand, name string) *alerts.Rule {
	x := &alerts.Rule{Name: name, Ways: []string{"script"}}
	switch r.IntN(3) {
	case 0:
		x.Text = []string{pick(r, "GALE*", "S?S", "STORM # 9")}
	case 1:
		x.Signal = &alerts.Range{FromHz: float64(r.IntN(9000) * 500), ToHz: 4.5e6 + .5}
	case 2:
		x.Receiver = []alerts.What{alerts.Silent, alerts.Overloaded}[:1+r.IntN(2)]
	}
	if r.IntN(2) == 0 {
		x.Quiet = []alerts.Hours{{From: 60 * r.IntN(24), To: 30}}
	}
	x.LeastInterval = alerts.Duration(r.IntN(5)) * 60e9
	return x
}

// written is a table as somebody might write it.
func written(r *rand.Rand, array string, v any) string {
	items := itemsOf(v)
	text := "[[" + array + "]]" + pick(r, "", " # of ours", "\t") + "\n"
	var keys []string
	for key := range items {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	r.Shuffle(len(keys), func(i, j int) { keys[i], keys[j] = keys[j], keys[i] })
	behind := ""
	for _, key := range keys {
		text += pick(r, "", "# about it\n", "\n", "  ")
		inner, isTable := items[key].(map[string]any)
		form := r.IntN(3)
		switch {
		case isTable && form == 0:
			behind += "[" + array + "." + key + "]\n"
			for k, v := range inner {
				behind += k + " = " + valueText(v) + " # within\n"
			}
		case isTable && form == 1:
			for k, v := range inner {
				text += key + "." + k + " = " + valueText(v) + "\n"
			}
		default:
			value := valueText(items[key])
			if _, isList := items[key].([]any); isList && r.IntN(2) == 0 {
				value = "[ # ] \"\n" + strings.Trim(value, "[]") + ", ]"
			}
			text += key + pick(r, " = ", "=", " =\t") + value + pick(r, "", " # [", "  ") + "\n"
		}
	}
	return text + behind
}

func randomConfiguration(r *rand.Rand) *configuration {
	c := &configuration{receivers: map[string]int{}, alerts: map[string]int{}}
	between := func() string {
		return pick(r, "", "\n", "\n# --- next\n\n", "\n\n# of the next one\n", "[keep]\nsound = '''\n1 h'''\n\n", "\n[[way]]\nname = \"script\"\ncommand = [\"[[receiver]]\"]\n")
	}
	c.parts = append(c.parts, "name = \"s\" # the station\n\n")
	keep, way := false, false
	for i := range 1 + r.IntN(4) {
		if array := pick(r, "receiver", "alert"); array == "receiver" {
			name := fmt.Sprint("r", i)
			c.receivers[name] = len(c.parts)
			c.parts = append(c.parts, written(r, array, randomReceiver(r, name)))
		} else {
			name := fmt.Sprint("a", i)
			c.alerts[name] = len(c.parts)
			c.parts = append(c.parts, written(r, array, randomRule(r, name)))
		}
		b := between()
		if strings.HasPrefix(b, "[keep]") && keep || strings.Contains(b, "[[way]]") && way {
			b = ""
		}
		keep, way = keep || strings.HasPrefix(b, "[keep]"), way || strings.Contains(b, "[[way]]")
		c.parts = append(c.parts, b)
	}
	return c
}

// All bytes outside of the table that is edited stay as they are, and the result has what was asked for.
func TestEditsAtRandom(t *testing.T) {
	for seed := range uint64(800) {
		r := rand.New(rand.NewPCG(seed, 1))
		c := randomConfiguration(r)
		text := c.text()
		name, array, parts := "new", pick(r, "receiver", "alert"), c.receivers
		if array == "alert" {
			parts = c.alerts
		}
		for n := range parts {
			if name == "new" || n < name {
				name = n
			}
		}
		if r.IntN(4) == 0 {
			name = "new"
		}
		part, isThere := parts[name]
		remove := isThere && r.IntN(4) == 0
		var receiver *ReceiverTable
		var rule *alerts.Rule
		e := edit{}
		if array == "receiver" {
			if !remove {
				receiver = randomReceiver(r, name)
			}
			e = receiverEdit(name, receiver)
		} else {
			if !remove {
				rule = randomRule(r, name)
			}
			e = alertEdit(name, rule)
		}
		got, from, to, err := e.apply([]byte(text))
		if err != nil {
			t.Fatalf("seed %d: %v\n%s", seed, err, text)
		}
		before, after := strings.Join(c.parts[:part], ""), ""
		if isThere {
			after = strings.Join(c.parts[part+1:], "")
		}
		switch {
		case remove:
			if s := string(got); s != before+after && s != before+strings.TrimPrefix(after, "\n") {
				t.Fatalf("seed %d: removed %s\n%s\nof\n%s", seed, name, s, text)
			}
		case isThere:
			if s := string(got); !strings.HasPrefix(s, before) || !strings.HasSuffix(s, after) {
				t.Fatalf("seed %d: changed %s\n%s\nof\n%s", seed, name, s, text)
			}
		default:
			if !strings.HasPrefix(text, string(got[:min(from, len(text))-min(from, 1)])) {
				t.Fatalf("seed %d: added\n%s\nto\n%s", seed, got, text)
			}
			rest := strings.TrimSpace(string(got[:from])) + strings.TrimSpace(string(got[to:]))
			if strings.Join(strings.Fields(rest), "") != strings.Join(strings.Fields(text), "") {
				t.Fatalf("seed %d: added\n%s\nto\n%s", seed, got, text)
			}
		}
		receivers, rules := Tables(got)
		if receiver != nil && !slices.ContainsFunc(receivers, func(x ReceiverTable) bool { return reflect.DeepEqual(itemsOf(x), itemsOf(receiver)) }) {
			t.Fatalf("seed %d: %+v, want %+v", seed, receivers, receiver)
		}
		if rule != nil && !slices.ContainsFunc(rules, func(x alerts.Rule) bool { return reflect.DeepEqual(itemsOf(x), itemsOf(rule)) }) {
			t.Fatalf("seed %d: %+v, want %+v", seed, rules, rule)
		}
		again, _, _, err := e.apply(got)
		if !remove && (err != nil || string(again) != string(got)) {
			t.Fatalf("seed %d: the same edit again, %v\n%s\nof\n%s", seed, err, again, got)
		}
	}
}

// A comment in a table whose keys all stay is there afterwards.
func TestEditTemplate(t *testing.T) {
	text := Template([]string{"device:USB", "device:Other"})
	got, _, _, err := receiverEdit("north", &ReceiverTable{Name: "north", Source: "device:Other", Dial: "7878.1 kHz"}).apply(text)
	must(t, err)
	want := strings.Replace(string(text), "source = 'device:USB'\n", "source = \"device:Other\"\ndial = \"7878.1 kHz\"\n", 1)
	if string(got) != want {
		t.Errorf("%s", got)
	}
	got, _, _, err = receiverEdit("south", &ReceiverTable{Name: "south", Source: "device:Other"}).apply(text)
	must(t, err)
	mark := "# --- What is kept"
	want = strings.Replace(string(text), mark, "[[receiver]]\nname = \"south\"\nsource = \"device:Other\"\n\n"+mark, 1)
	if string(got) != want {
		t.Errorf("%s", got)
	}
}

func FuzzEdit(f *testing.F) {
	f.Add([]byte(full), "north", "device:x", false)
	f.Add(Template(nil), "south", "a\"\\", true)
	f.Add([]byte("[[receiver]]\nname=\"\"\"a\"\"\"\nsource='''x''''\n[receiver.tune]\n"), "a", "y", false)
	f.Fuzz(func(t *testing.T, text []byte, name, source string, remove bool) {
		r := &ReceiverTable{Name: strings.ToValidUTF8(name, ""), Source: strings.ToValidUTF8(source, "")}
		if remove {
			r = nil
		}
		got, from, to, err := receiverEdit(name, r).apply(text)
		if err != nil {
			return
		}
		if from > to || to > len(got) {
			t.Fatal(from, to)
		}
		receivers, _ := Tables(got)
		if !remove && !slices.ContainsFunc(receivers, func(x ReceiverTable) bool { return x.Source == strings.TrimSpace(r.Source) }) {
			t.Fatalf("%q: %+v", got, receivers)
		}
	})
}

func TestEdited(t *testing.T) {
	path := putFull(t)
	must(t, os.Chmod(path, 0o640))
	link := filepath.Join(t.TempDir(), Name)
	must(t, os.Symlink(path, link))
	north := ReceiverTable{Name: "north", Source: "device:Other", Dial: "7878.1 kHz"}

	// Against the link a programme file is missing, which is a mistake.
	var wrong Problems
	e, err := EditReceiver(link, "north", &north, nil)
	if !errors.As(err, &wrong) || e == nil || !strings.Contains(e.Table, "device:Other") {
		t.Fatal(e, err)
	}
	e, err = EditReceiver(path, "north", &north, nil)
	must(t, err)
	must(t, e.Write())
	c, err := Load(path)
	must(t, err)
	if r := c.Receivers[0]; r.Source != "device:Other" || r.Tune != nil {
		t.Errorf("%+v", r)
	}
	if fi, err := os.Stat(path); err != nil || fi.Mode().Perm() != 0o640 {
		t.Error(fi.Mode(), err)
	}
	if err := e.Write(); !errors.Is(err, ErrChanged) {
		t.Error(err)
	}

	// What is wrong has its line in the text that would be written.
	north.Dial = "7 parsecs"
	e, err = EditReceiver(path, "north", &north, nil)
	if !errors.As(err, &wrong) || len(wrong) != 1 || !strings.Contains(strings.Split(string(e.Text), "\n")[wrong[0].Line-1], "parsecs") {
		t.Errorf("%v\n%s", err, e.Text)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*.part")); left != nil {
		t.Error(left)
	}

	text, err := os.ReadFile(path)
	must(t, err)
	if _, err := EditText(path, Sum([]byte("other")), text, nil); !errors.Is(err, ErrChanged) {
		t.Error(err)
	}
	e, err = EditText(path, Sum(text), append(text, "# end\n"...), nil)
	must(t, err)
	must(t, e.Write())
	if got, _ := os.ReadFile(path); !strings.HasSuffix(string(got), "# end\n") {
		t.Errorf("%s", got)
	}
}
