package stationfile

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"ionoscribe/internal/alerts"
)

// piece is a part of an invented station.toml: a table, or what stands between tables.
type piece struct{ kind, name, text string }

// invent makes a station.toml of pieces. Receivers r0, r1… and rules a0, a1… are among them, in any order and layout.
func invent(r *rand.Rand) (all []piece) {
	between := func() {
		some := []string{"", "\n", "# a comment, [[receiver]]\n", "\n# --- Heading ---\n\n", "# name = \"x\"\n\n", " \t\n"}
		all = append(all, piece{text: some[r.IntN(len(some))]})
	}
	all = append(all, piece{text: []string{"", "name = \"Hut\"\n", "# Top\nname = 'Hut' # mine\n\n"}[r.IntN(3)]})
	receivers, rules := 0, 0
	for range 1 + r.IntN(6) {
		between()
		switch r.IntN(4) {
		case 0:
			name := fmt.Sprintf("a%d", rules)
			all = append(all, piece{"alert", name, inventTable(r, "alert", name)})
			rules++
		case 1:
			all = append(all, piece{text: "[[way]]\nname = \"w\"\ncommand = [\"[[receiver]]\", '''\n[[alert]]\nname = \"a0\"\n''']\n"})
		default:
			name := fmt.Sprintf("r%d", receivers)
			all = append(all, piece{"receiver", name, inventTable(r, "receiver", name)})
			receivers++
		}
	}
	between()
	return all
}

// inventTable is a table with some of its keys, in any order and layout.
func inventTable(r *rand.Rand, kind, name string) string {
	lines := map[string][]string{
		"receiver": {`source = "device:a" # plug`, "dial = '7878.1 kHz'", `copy = "fax"`, "hours = [ # night\n  \"18:00-06:00\", # \"]\"\n]", `"place" = "Hut"`, "channel = 2", `tune.command = ["x"]`},
		"alert":    {`text = ["GALE*", "a]b"]`, `ways = ["w"] # one`, `"quiet" = ["22:00-06:00"]`, "signal.from_hz = 1e6\nsignal.to_hz = 2_000_000", `least_interval = "90s"`, "calls = \"\"\"\\\n  QQ9*\"\"\""},
	}[kind]
	lines = append([]string{"name = '" + name + "'"}, lines...)
	indent := strings.Repeat(" ", r.IntN(3))
	text := indent + []string{"[[%s]]", "[[ %s ]] # one", "[[\"%s\"]]"}[r.IntN(3)] + "\n"
	text = fmt.Sprintf(text, kind)
	for _, i := range r.Perm(len(lines)) {
		if i == 0 || r.IntN(2) == 0 {
			text += indent + lines[i] + []string{"\n", "\n\n", "\n# within\n"}[r.IntN(3)]
		}
	}
	text = strings.TrimRight(strings.TrimSuffix(text, "# within\n"), "\n") + "\n"
	if r.IntN(3) == 0 {
		text += []string{"", "\n"}[r.IntN(2)] + map[string]string{"receiver": "[receiver.more]\nx = 1\n", "alert": "[alert.more]\n"}[kind]
	}
	return text
}

func inventReceiver(r *rand.Rand, name string) ReceiverTable {
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	list := func(of ...string) (all []string) {
		for _, s := range of {
			if r.IntN(2) == 0 {
				all = append(all, s)
			}
		}
		return all
	}
	return ReceiverTable{Name: name, Source: pick("device:a", `a"\b'`, "ä\n\x01# x"), Dial: pick("", "7878.1 kHz"), IQ: pick("", "normal"), Channel: pick("", "2", "left"),
		Copy: list("fax", "cw"), Hours: list("18:00-06:00"), Sound: pick("", "12 h"), Place: pick("", "Hut")}
}

func inventRule(r *rand.Rand, name string) alerts.Rule {
	rule := alerts.Rule{Name: name, Ways: []string{"w"}}
	switch r.IntN(3) {
	case 0:
		rule.Text = []string{"GALE*", "a]b"}
	case 1:
		rule.Signal = &alerts.Range{FromHz: 1e6, ToHz: 1e6 * (1 + r.Float64())}
	default:
		rule.Calls, rule.LeastInterval = []string{"QQ9*"}, alerts.Duration(r.IntN(3)*45e9)
	}
	return rule
}

// rootOf is what a text says.
func rootOf(t *testing.T, text string) map[string]any {
	t.Helper()
	root := map[string]any{}
	if err := toml.Unmarshal([]byte(text), &root); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return root
}

// Whatever a file is like, and whatever is asked: all else stays byte by byte, and the table says what was asked.
func TestEdits(t *testing.T) {
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 1))
		all := invent(r)
		i := r.IntN(len(all))
		kind, name := all[i].kind, all[i].name
		if kind == "" { // a table that is not there
			kind, name, i = []string{"receiver", "alert"}[r.IntN(2)], "new", len(all)
		}
		end := []string{"\n", "\r\n"}[r.IntN(2)]
		join := func(pieces []piece) (text string) {
			for _, p := range pieces {
				text += strings.ReplaceAll(p.text, "\n", end)
			}
			return text
		}
		before := join(all)
		d := draftOf(before)
		is, want := true, any(nil)
		var err error
		switch {
		case r.IntN(4) == 0 && name != "new":
			is, err = false, d.remove(kind, name)
		case kind == "receiver":
			table := inventReceiver(r, name)
			want, err = table, d.SetReceiver(name, table)
		default:
			rule := inventRule(r, name)
			want, err = rule, d.SetAlert(name, rule)
		}
		told := fmt.Sprintf("seed %d, %s %s: %v\n%s\n---\n%s", seed, kind, name, err, before, d.Text())
		if err != nil {
			t.Fatal(told)
		}
		if i < len(all) {
			head, tail := join(all[:i]), join(all[i+1:])
			if !is { // a blank line may go with it
				tail = strings.TrimLeft(tail, " \t\r\n")
			}
			if len(d.Text()) < len(head)+len(tail) || !strings.HasPrefix(d.Text(), head) || !strings.HasSuffix(d.Text(), tail) {
				t.Fatal(told)
			}
		} else if !addedTo(before, d.Text()) {
			t.Fatal(told)
		}
		checkSays(t, told, d, kind, name, want)
		checkRest(t, told, rootOf(t, before), rootOf(t, d.Text()), kind, name)
	}
}

// addedTo says that a text is another one with something put into it.
func addedTo(before, after string) bool {
	same := 0
	for same < len(before) && same < len(after) && before[same] == after[same] {
		same++
	}
	return len(after) > len(before) && strings.HasSuffix(after, before[same:])
}

// checkSays wants a table to say what was asked; nil: not to be there.
func checkSays(t *testing.T, told string, d *Draft, kind, name string, want any) {
	t.Helper()
	doc, err := parse(Name, d.text)
	must(t, err)
	i, err := doc.find(kind, name)
	must(t, err)
	if want == nil || i < 0 {
		if want != nil || i >= 0 {
			t.Fatal(told)
		}
		return
	}
	table := doc.table("", doc.root).tables(kind)[i]
	var got any
	if kind == "receiver" {
		got = receiverTable(table)
	} else {
		var rule alerts.Rule
		table.decode(&rule)
		got = rule
	}
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("%+v\nwant %+v\n%s", got, want, told)
	}
}

// checkRest wants all to be said as before, but for keys of one table that are set.
func checkRest(t *testing.T, told string, before, after map[string]any, kind, name string) {
	t.Helper()
	for _, root := range []map[string]any{before, after} {
		list, _ := root[kind].([]any)
		kept := []any{}
		for _, v := range list {
			if v.(map[string]any)["name"] != name {
				kept = append(kept, v)
			}
		}
		root[kind] = kept
	}
	if !reflect.DeepEqual(before, after) {
		t.Fatal(told)
	}
}

// Whatever bytes a file has, an edit fails, or makes TOML of TOML that says what was asked.
func FuzzEdit(f *testing.F) {
	for seed := range uint64(8) {
		text := ""
		for _, p := range invent(rand.New(rand.NewPCG(seed, 2))) {
			text += p.text
		}
		f.Add(text, "r0", "device:a")
	}
	f.Add(full, "north", "x")
	f.Add(`receiver = [{name = "x"}]`, "x", "y")
	f.Fuzz(func(t *testing.T, text, name, source string) {
		d := draftOf(text)
		want := ReceiverTable{Name: name, Source: source, Hours: []string{"18:00-06:00"}}
		if err := d.SetReceiver(name, want); err != nil {
			if d.Text() != text {
				t.Fatalf("%v, and the text is %q", err, d.Text())
			}
			return
		}
		if _, err := parse(Name, d.text); err != nil {
			t.Fatalf("%v\n%q\n%q", err, text, d.Text())
		}
		d.RemoveReceiver(name)
		if _, err := parse(Name, d.text); err != nil {
			t.Fatalf("removed: %v\n%q\n%q", err, text, d.Text())
		}
	})
}
