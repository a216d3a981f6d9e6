//go:build browser

package main

import (
	"fmt"
	"strings"
	"testing"
)

// A rule shows what it would have caught in the last week before it can be saved. It is then in station.toml, whose other lines are as
// they were, and goes without a trace.
func TestRules(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/alerts")
	before := configText()
	if !strings.Contains(before, "#") {
		t.Fatal("station.toml has no comments")
	}
	v.press("n")
	v.until(`document.querySelector("dialog[open]")`)
	for _, violation := range v.violations() {
		t.Error(violation)
	}
	save := `[...document.querySelectorAll("dialog button")].find((b) => b.textContent === "Save in station.toml")`
	if !value[bool](v, save+`.disabled`) {
		t.Error("a rule can be saved that was not tried")
	}
	v.put("Name", "southwest")
	v.put("Words", "SOUTHWEST")
	v.click("What would it have caught?")
	v.until(`/Would have caught in the last .*: [1-9]/.test(document.querySelector("dialog").innerText)`)
	v.until(`document.querySelectorAll("dialog .caught li").length > 0`)
	v.put("Least interval", "30m")
	if !value[bool](v, save+`.disabled`) {
		t.Error("a rule can be saved that was changed after it was tried")
	}
	v.click("What would it have caught?")
	v.click("Save in station.toml")
	v.until(`!document.querySelector("dialog") && document.querySelector("main").innerText.includes("southwest")`)
	left := strings.Split(before, "\n") // that are to come still
	var added []string
	for line := range strings.SplitSeq(configText(), "\n") {
		if len(left) > 0 && left[0] == line {
			left = left[1:]
		} else {
			added = append(added, line)
		}
	}
	if text := strings.Join(added, "\n"); len(left) > 0 || !strings.Contains(text, "SOUTHWEST") {
		t.Errorf("to station.toml was added %q; %d lines are others than they were", text, len(left))
	}
	value[bool](v, `(() => { [...document.querySelectorAll("main section li, main section tr, main section article")].find((e) => e.innerText.includes("southwest")).querySelectorAll("button").forEach((b) => /Remove|Delete/.test(b.textContent) && b.click()); return true; })()`)
	v.until(`document.querySelector("dialog[open]")`)
	v.click("Take it out of station.toml")
	v.until(`!document.querySelector("dialog") && !document.querySelector("main").innerText.includes("southwest")`)
	if after := configText(); strings.TrimRight(after, "\n") != strings.TrimRight(before, "\n") {
		t.Errorf("station.toml was\n%s\nand is\n%s", before, after)
	}
}

// An alert tells what became of it on its ways out, and is acknowledged by key.
func TestAcknowledge(t *testing.T) {
	v := tab(t, screens[0], false)
	v.open("/alerts")
	v.until(`document.querySelectorAll(".alerts .alert").length > 0`)
	if n := value[int](v, `document.querySelectorAll(".alert:not(:has(.alert-ways li))").length`); n > 0 {
		t.Errorf("of %d alerts it is not said what became of them", n)
	}
	open := `document.querySelectorAll(".alert.open").length`
	was := value[int](v, open)
	if was == 0 {
		t.Skip("all are acknowledged: this station has been looked at before")
	}
	v.press("a")
	v.until(`document.querySelector("main").innerText.includes("acknowledged")`)
	v.until(fmt.Sprintf("%s === %d", open, was-1))
}

// stationState is what the station tells of its configuration.
type stationState struct {
	Config struct{ Text string }
}

func configText() string {
	var s stationState
	ask("/api/station", &s)
	return s.Config.Text
}
