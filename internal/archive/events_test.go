package archive

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

// What the archive has of a time comes as alerts were told of it: the programme, illnesses, and texts with their lines' ends.
func TestEvents(t *testing.T) {
	a := open(t, t.TempDir())
	hear(a, "north", "rtty", noon.Add(-48*time.Hour), "OLD")
	hear(a, "north", "rtty", noon, "GALE\nNOW")
	hear(a, "south", "cw", noon.Add(time.Hour), "VVV")
	hear(a, "south", "cw", noon.Add(-8*24*time.Hour), "TOO OLD")
	a.Incident(Incident{At: noon, What: Ill, Receiver: "south", Text: "silent: no samples since 12:00:00Z"})
	a.Incident(Incident{At: noon, What: Gap, Receiver: "south"})
	a.Expect(Expected{Key: "1", Entry: "analysis", Title: "Analysis", At: noon, Closes: noon.Add(time.Minute), Outcome: Missed})
	a.Expect(Expected{Key: "2", Entry: "analysis", Title: "Analysis", At: noon, Closes: noon.Add(time.Minute), Outcome: Due})
	flush(t, a)
	read := func(q EventQuery) (told string, since time.Time) {
		q.From, q.To = noon.Add(-7*24*time.Hour), noon.Add(2*time.Hour)
		q.Read = func(t time.Time) { since = t }
		for e, err := range a.Events(context.Background(), q) {
			must(t, err)
			switch e.What {
			case alerts.SignalText:
				told += e.Text
			default:
				told += fmt.Sprintf("[%s %s%s%s]", e.What, e.Receiver, e.Entry, e.Detail)
			}
		}
		return told, since
	}
	station := "[missed analysis][silent southno samples since 12:00:00Z]"
	all := station + "[signal south]VVV\n[ended south][signal north]GALE\nNOW\n[ended north][signal north]OLD\n[ended north]"
	told, since := read(EventQuery{Lines: 100})
	if told != all || !since.Equal(noon.Add(-7*24*time.Hour)) {
		t.Errorf("since %v:\n%s\nwant\n%s", since, told, all)
	}
	told, since = read(EventQuery{Lines: 3})
	if !strings.HasPrefix(told, station+"[signal south]VVV\n[ended south][signal north]") || strings.Contains(told, "OLD") || !since.Equal(noon.Add(time.Hour)) {
		t.Errorf("three lines, since %v: %s", since, told)
	}
	if told, _ = read(EventQuery{}); told != station+"[signal south][signal north][signal north]" {
		t.Errorf("without texts: %s", told)
	}
}
