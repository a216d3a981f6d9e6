//go:build browser

package main

import (
	"encoding/json"
	"strings"
	"testing"
)

func quoted(s string) string {
	b, _ := json.Marshal(s) // a string can be marshalled
	return string(b)
}

// A search shows what was found, in the language of find; mistakes in it are told. A text has its times in the margin, can be copied
// and exported, and its address goes to what was found.
func TestTexts(t *testing.T) {
	v := tab(t, screens[0], false)
	v.begin(`navigator.clipboard.writeText = async (text) => { window.copied = text; };`)
	v.open("/texts")
	v.until(`document.querySelectorAll("main article, main li").length > 3`)
	v.put("Words in text", "gale -ice")
	v.until(`location.search.includes("words=") && document.querySelectorAll("main mark").length > 1`)
	if n := value[int](v, `[...document.querySelectorAll("main mark")].filter((m) => !/gale/i.test(m.textContent)).length`); n > 0 {
		t.Errorf("%d marks are of other words", n)
	}
	for _, m := range []string{"rtty", "cw", "navtex", "dsc", "psk31"} {
		v.until(`[...document.querySelectorAll("#mode option")].some((o) => o.value === "` + m + `")`)
	}
	answer := value[string](v, `fetch([...document.querySelectorAll(".texts-export a")].find((a) => a.textContent.includes("CSV")).href).then((r) => r.text())`)
	if lines := strings.Count(answer, "\n"); lines < 2 {
		t.Errorf("the table is %q", answer)
	}
	v.put("Words in text", "gale*s")
	v.until(`document.querySelector("#words-fault").textContent !== ""`)
	v.put("Words in text", "gale")
	v.until(`document.querySelectorAll("main mark").length > 1 && document.querySelector("#words-fault").textContent === ""`)
	v.forgive("status of 400")
	v.press("j")
	v.until(`document.activeElement.closest("main a")`)
	value[bool](v, `document.activeElement.click() === undefined`)
	v.until(`location.pathname.startsWith("/text/") && document.querySelectorAll(".text-line time").length > 1 && document.querySelector("mark")`)
	v.click("Copy text")
	v.until(`document.querySelector("#notices").textContent.includes("clipboard")`)
	if copied := value[string](v, `window.copied`); !strings.Contains(strings.ToLower(copied), "gale") {
		t.Errorf("on the clipboard is %q", copied)
	}
	v.press("m")
	v.until(`document.querySelector(".transcript.plain")`)
}
