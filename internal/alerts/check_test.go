package alerts_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"ionoscribe/internal/alerts"
)

// document is what a configuration has of rules and ways out.
type document struct {
	Alert []alerts.Rule
	Way   []alerts.WayConfig
}

func read(t *testing.T, text string) document {
	t.Helper()
	var d document
	if err := toml.NewDecoder(strings.NewReader(text)).DisallowUnknownFields().Decode(&d); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return d
}

func TestCheck(t *testing.T) {
	good := read(t, `
		[[alert]]
		name = "gale"
		text = ["gale warning", "storm*"]
		receivers = ["north"]
		modes = ["cw", "rtty"]
		ways = ["hook", "letter"]
		quiet = ["22:00-06:30"]
		least_interval = "10m"
		[[alert]]
		name = "calls"
		calls = ["QQ9*", "?XYZ"]
		ways = ["mqtt"]
		[[alert]]
		name = "countries"
		countries = ["norway", "Ivory Coast"]
		ways = ["mqtt"]
		[[alert]]
		name = "chart"
		programme = ["missed", "poor"]
		entries = ["morning"]
		ways = ["desktop"]
		[[alert]]
		name = "new"
		signal = {from_hz = 4000e3, to_hz = 4500e3}
		ways = ["command"]
		[[alert]]
		name = "receiver"
		receiver = ["silent", "overloaded", "disconnected", "clock"]
		ways = ["command"]
		[[alert]]
		name = "station"
		station = ["disk_full", "tune_failed"]
		ways = ["command"]
		[[way]]
		name = "hook"
		timeout = "20s"
		webhook = {url = "https://example.org/alert", secret_file = "hook.secret"}
		[[way]]
		name = "letter"
		mail = {server = "mail.example.org:587", user = "watch", password_file = "mail.secret", from = "watch@example.org", to = ["op@example.org"]}
		[[way]]
		name = "mqtt"
		mqtt = {broker = "mqtts://example.org:8883", topic = "station/alerts"}
		[[way]]
		name = "desktop"
		desktop = true
		[[way]]
		name = "command"
		command = ["/usr/local/bin/ring", "{summary}"]
	`)
	var ways []string
	for _, w := range good.Way {
		if faults := w.Check(); len(faults) > 0 {
			t.Errorf("way out %s: %+v", w.Name, faults)
		}
		ways = append(ways, w.Name)
	}
	for _, r := range good.Alert {
		if faults := r.Check(ways); len(faults) > 0 {
			t.Errorf("rule %s: %+v", r.Name, faults)
		}
	}
}

// Each mistake is found, once, at its key.
func TestFaults(t *testing.T) {
	for text, key := range map[string]string{
		``:                                      "",
		`text = ["a"]` + "\n" + `calls = ["B"]`: "calls",
		`text = ["*"]`:                          "text",
		`text = [""]`:                           "text",
		`text = ["` + strings.Repeat("x", 101) + `"]`: "text",
		`calls = ["Q Q"]`:                                                "calls",
		`calls = ["*"]`:                                                  "calls",
		`calls = ["[A]"]`:                                                "calls",
		`countries = ["Norwegen"]`:                                       "countries",
		`programme = ["silent"]`:                                         "programme",
		`receiver = ["missed"]`:                                          "receiver",
		`station = ["came"]`:                                             "station",
		`signal = {from_hz = 2.0, to_hz = 1.0}`:                          "signal",
		`signal = {from_hz = nan, to_hz = 1.0}`:                          "signal",
		`text = ["a"]` + "\n" + `ways = []`:                              "ways",
		`text = ["a"]` + "\n" + `ways = ["other"]`:                       "ways",
		`text = ["a"]` + "\n" + `ways = ["p", "p"]`:                      "ways",
		`text = ["a"]` + "\n" + `quiet = ["00:00-12:00", "12:00-00:00"]`: "quiet",
	} {
		if !strings.Contains(text, "ways") {
			text += "\nways = [\"p\"]"
		}
		r := read(t, "[[alert]]\nname = \"x\"\n"+text).Alert[0]
		if faults := r.Check([]string{"p"}); len(faults) != 1 || faults[0].Key != key || faults[0].Message == "" || faults[0].Mend == "" {
			t.Errorf("%s\n%+v, want one at %q", text, faults, key)
		}
	}
	for text, keys := range map[string]string{
		``:                                    "",
		"desktop = true\ncommand = [\"x\"]":   "desktop",
		`command = [""]`:                      "command",
		`webhook = {url = "example.org"}`:     "webhook.url",
		`webhook = {url = "ftp://host/path"}`: "webhook.url",
		`mail = {server = "host", tls = "ssl", from = "x", to = []}`:        "mail.server mail.tls mail.to mail.from",
		`mail = {server = "host:25", from = "a@b", to = ["c"], user = "x"}`: "mail.to mail",
		`mqtt = {broker = "http://host:1", topic = "a/#"}`:                  "mqtt.broker mqtt.topic",
		`mqtt = {broker = "mqtt://host", topic = "", password_file = "x"}`:  "mqtt.broker mqtt.topic mqtt.user",
	} {
		w := read(t, "[[way]]\nname = \"x\"\n"+text).Way[0]
		var got []string
		for _, f := range w.Check() {
			got = append(got, f.Key)
			if f.Message == "" || f.Mend == "" {
				t.Errorf("%s: %+v", text, f)
			}
		}
		if want := strings.Split(keys, " "); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}
