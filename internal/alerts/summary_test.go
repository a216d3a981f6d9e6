package alerts

import "testing"

func TestSummary(t *testing.T) {
	for want, a := range map[string]Alert{
		"Call sign of Norway received on 7644.2 kHz in rtty, receiver ridge": {What: SignalText, Call: "X", Country: "Norway", FrequencyHz: 7644.2e3, Mode: "rtty", Receiver: "ridge"},
		"Call sign received":                   {What: SignalText, Call: "X"},
		"Words received":                       {What: SignalText, Match: "X"},
		"Did not come: Morning chart":          {What: EntryMissed, Title: "Morning chart"},
		"Came badly":                           {What: EntryPoor},
		"Came: A: B":                           {What: EntryCame, Title: "A: B"},
		"Receiver is disconnected, receiver b": {What: Disconnected, Receiver: "b"},
		"Receiver is overloaded":               {What: Overloaded},
		"Disk is full":                         {What: DiskFull},
		"What is heard cannot be kept":         {What: NotKept},
		"Tuning failed, receiver b":            {What: TuneFailed, Receiver: "b"},
	} {
		if got := summary(&a); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
