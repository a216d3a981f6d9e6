package alerts_test

import (
	"encoding/json"
	"testing"
)

// What receivers of messages rely on.
func TestMessageJSON(t *testing.T) {
	m := message()
	m.Excerpt, m.Receiver, m.Mode, m.FrequencyHz, m.Transmission = "NIL GALE", "north", "cw", 4583e3, 7
	got, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"id":42,"station":"Inselwacht","rule":"gale","what":"text","utc":"2026-11-27T05:59:01Z","made":"2026-11-27T06:00:00Z",` +
		`"summary":"Words received on 4583.0 kHz","receiver":"north","transmission":7,"mode":"cw","frequency_hz":4583000,` +
		`"match":"GALE","excerpt":"NIL GALE","held_back":2,"repeated":true}`
	if string(got) != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}
