//go:build browser

package main

import (
	"strings"
	"testing"
)

// A receiver that is being added shows the table that it makes in station.toml; mistakes are told as they are typed; and nothing is written
// unless it is said.
func TestReceiverForm(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/station")
	before := configText()
	v.press("a")
	v.until(`document.querySelector("dialog[open]")`)
	v.put("Name", "attic")
	v.put("Source", "rtp://239.1.2.3:5004")
	v.put("Dial frequency", "7878.1 kHz")
	v.until(`document.querySelector(".rx-preview pre")?.textContent.includes('"attic"') && document.querySelector(".rx-preview pre").textContent.includes("7878.1")`)
	for _, violation := range v.violations() {
		t.Error(violation)
	}
	v.put("Hours", "25:00-30:00")
	v.until(`/hours/.test(document.querySelector(".rx-preview").innerText) && !document.querySelector(".rx-preview pre")`)
	v.click("Cancel")
	v.forgive("status of 422") // mistakes are told by it
	v.until(`!document.querySelector("dialog")`)
	if configText() != before {
		t.Error("station.toml was written")
	}
}

// In the text of station.toml a mistake is told with its line, which is marked, and cannot be saved. What is right is written as it
// stands, with its comments.
func TestConfiguration(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/station")
	v.press("e")
	v.until(`document.activeElement.id === "toml" && document.activeElement.value.length > 100`)
	before := configText()
	put := func(text string) {
		value[bool](v, `(() => { const e = document.querySelector("#toml"); e.value = `+quoted(text)+`; return e.dispatchEvent(new Event("input", { bubbles: true })); })()`)
	}
	lines := strings.Split(before, "\n")
	put(strings.Join(append(append([]string{}, lines[:3]...), append([]string{"nonsense = 1"}, lines[3:]...)...), "\n"))
	v.until(`document.querySelector(".toml-numbers b")?.textContent.trim() === "▸4" && document.querySelector("#toml-told").innerText.includes("nonsense")`)
	if !value[bool](v, `[...document.querySelectorAll(".toml button")].find((b) => b.textContent === "Save station.toml").disabled`) {
		t.Error("what is wrong can be saved")
	}
	after := before + "\n# a comment of the test\n"
	put(after)
	v.click("Save station.toml")
	v.until(`document.querySelector("#notices").textContent.includes("station.toml is saved")`)
	if configText() != after {
		t.Error("station.toml is not what was written")
	}
	put(before) // what is typed at once after it was saved stays
	v.click("Save station.toml")
	v.forgive("status of 422")
	untilAsked(v, "/api/station", func(s stationState) bool { return s.Config.Text == before })
}
