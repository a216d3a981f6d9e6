package programme

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"

	"ionoscribe/internal/fault"
)

func someEntries(t *testing.T) []Entry {
	return []Entry{
		entry(t, "id=plain; title=Analysis; times=06:30 18:30; frequency=7878.1 kHz; mode=fax; receivers=north south; length=20 min; early=1 min; late=10 min; within=500 Hz"),
		entry(t, "title=Long, with;semicolon \\ and commas, "+strings.Repeat("würzig ", 20)+"; times=00:00; days=Mon-Fri; from=2026-11-30; to=2027-03-05"),
		entry(t, "id=once; times=07:10; from=2027-01-02; to=2027-01-02; length=90 s"),
		entry(t, "id=rule; times=05:00 17:00; from=2026-03-02; rule=FREQ=MONTHLY;BYDAY=1MO;UNTIL=20270601T120000Z; zone=Europe/Berlin; except=2026-12-07T04:00Z"),
		entry(t, "id=zone; times=06:00; days=Sat-Sun; zone=America/New_York; also=2026-12-02T11:30Z 2026-12-03T11:30Z"),
		entry(t, "id=also; also=2026-12-02T11:30Z 2026-12-03T11:30Z"),
	}
}

// What is written is read again with the same occurrences; entries without a zone and other days are the same at all.
func TestICalendarThereAndBack(t *testing.T) {
	entries := someEntries(t)
	again := throughICalendar(t, entries)
	if len(again) != len(entries) {
		t.Fatalf("%d of %d: %+v", len(again), len(entries), again)
	}
	for i := range entries {
		a, b := entries[i], again[i]
		from, to := someDay.AddDate(0, 0, 0), someDay.AddDate(1, 6, 0)
		if got, want := times(Between([]Entry{b}, from, to)), times(Between([]Entry{a}, from, to)); !slices.Equal(got, want) {
			t.Errorf("%s:\n got %v\nwant %v", a.ID, got, want)
		}
		switch a.ID {
		case "once", "plain":
			if !reflect.DeepEqual(a, b) {
				t.Errorf("\n%+v\n%+v", a, b)
			}
		}
		if a.Title != "" && a.Title != b.Title || a.ID != b.ID || a.Mode != b.Mode || a.FrequencyHz != b.FrequencyHz || a.Length != b.Length {
			t.Errorf("\n%+v\n%+v", a, b)
		}
	}
	third := throughICalendar(t, again)
	if !reflect.DeepEqual(third, again) {
		t.Errorf("the second time:\n%+v\n%+v", third, again)
	}
}

// The form of what is written is that of RFC 5545: lines end with CRLF and have 75 octets at most, and folding leaves whole characters
// (3.1); commas, semicolons and backslashes in texts are escaped (3.3.11); UID, DTSTAMP and DTSTART are there once (3.6.1); each
// TZID has its VTIMEZONE (3.2.19), of which each part has DTSTART, TZOFFSETFROM and TZOFFSETTO (3.6.5); an UNTIL is in UTC (3.3.10).
func TestICalendarIsOfRFC5545(t *testing.T) {
	var b strings.Builder
	if err := WriteICalendar(&b, someEntries(t), someDay); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if strings.Count(text, "\n") != strings.Count(text, "\r\n") || !strings.HasSuffix(text, "END:VCALENDAR\r\n") {
		t.Error("lines do not end with CRLF")
	}
	for line := range strings.SplitSeq(text, "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			t.Errorf("%d octets: %q", len(line), line)
		}
	}
	unfolded := strings.ReplaceAll(text, "\r\n ", "")
	title := `SUMMARY:Long\, with\;semicolon \\ and commas\, würzig würzig `
	if !strings.Contains(unfolded, title) {
		t.Errorf("%s is not there", title)
	}
	for _, want := range []string{"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:", "RRULE:FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR;UNTIL=20270305T000000Z\r\n", "DURATION:PT1M30S\r\n", "DURATION:PT20M\r\n",
		"UID:plain-0630@ionoscribe\r\n", "DTSTAMP:20261127T120000Z\r\n", "EXDATE;TZID=Europe/Berlin:20261207T050000\r\n", "DTSTART:20261127T063000Z\r\n",
		"RRULE:FREQ=MONTHLY;BYDAY=1MO;UNTIL=20270601T120000Z\r\n"} {
		if !strings.Contains(unfolded, want) {
			t.Errorf("%q is not there", want)
		}
	}
	events := strings.Split(unfolded, "BEGIN:VEVENT\r\n")[1:]
	uids := map[string]bool{}
	for _, v := range events {
		for _, once := range []string{"UID", "DTSTAMP", "DTSTART", "SUMMARY"} {
			if n := len(regexp.MustCompile(`(?m)^`+once+`[:;]`).FindAllString(v, -1)); n != 1 {
				t.Errorf("%d %s in\n%s", n, once, v)
			}
		}
		uids[regexp.MustCompile(`UID:.*`).FindString(v)] = true
	}
	if len(events) != 8 || len(uids) != 8 {
		t.Errorf("%d events of %d UIDs", len(events), len(uids))
	}
	cal, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	zones := map[string]bool{}
	for _, z := range cal.Timezones() {
		zones[z.GetProperty("TZID").Value] = true
		for _, part := range z.Components {
			for _, name := range []ics.ComponentProperty{"DTSTART", "TZOFFSETFROM", "TZOFFSETTO"} {
				if !strings.Contains(part.(interface {
					Serialize(*ics.SerializationConfiguration) string
				}).Serialize(&ics.SerializationConfiguration{MaxLength: 75, NewLine: "\r\n"}), string(name)+":") {
					t.Errorf("no %s", name)
				}
			}
		}
	}
	for _, m := range regexp.MustCompile(`TZID=([^:;]+)`).FindAllStringSubmatch(unfolded, -1) {
		if !zones[m[1]] {
			t.Errorf("%s has no VTIMEZONE", m[1])
		}
	}
	// Of Directive 2000/84/EC: summer time begins on 2027-03-28 at 1:00 UTC, which is 2:00 CET.
	if !strings.Contains(unfolded, "BEGIN:DAYLIGHT\r\nDTSTART:20270328T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0200\r\nTZNAME:CEST\r\nEND:DAYLIGHT\r\n") {
		t.Error("the VTIMEZONE of Berlin has no summer of 2027")
	}
}

func calendar(events ...string) string {
	return "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:x\nBEGIN:VEVENT\nDTSTAMP:20260101T000000Z\n" + strings.Join(events, "\nEND:VEVENT\nBEGIN:VEVENT\nDTSTAMP:20260101T000000Z\n") + "\nEND:VEVENT\nEND:VCALENDAR\n"
}

func calendar1(lines ...string) string { return calendar(strings.Join(lines, "\n")) }

// Calendars of other programs: as they are written by hand after RFC 5545.
func TestReadICalendar(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"a single event, with a frequency and a mode in its words": {
			calendar1("UID:1", "SUMMARY:Surface analysis", "LOCATION:7878.1 kHz (Fax)", "DTSTART:20261127T063000Z", "DTEND:20261127T065000Z"),
			"surface-analysis-7878.1 Surface analysis,06:30,,2026-11-27,2026-11-27,7878.1 kHz,fax,,20 min,,,,,,,",
		},
		"daily, lower case, folded within a word": {
			strings.ReplaceAll(calendar1("uid:1", "summary:Gale war\n ning\\, north", "dtstart:20261127T063000Z", "duration:PT1H5M", "rrule:freq=daily"), "freq", "FREQ"),
			"gale-warning-north \"Gale warning, north\",06:30,,2026-11-27,,,,,65 min,,,,,,,",
		},
		"weekly until an hour before its time": {
			calendar1("UID:1", "SUMMARY:x", "DTSTART:20261127T063000Z", "RRULE:FREQ=WEEKLY;BYDAY=FR,SU;UNTIL=20261206T053000Z"),
			"x x,06:30,Fri Sun,2026-11-27,2026-12-05,,,,,,,,,,,",
		},
		"weekly until its time, in a zone": {
			calendar1("UID:1", "SUMMARY:x", "DTSTART;TZID=Europe/Berlin:20261127T063000", "RRULE:FREQ=WEEKLY;UNTIL=20261204T053000Z"),
			"x x,06:30,Fri,2026-11-27,2026-12-04,,,,,,,,,,,Europe/Berlin",
		},
		"times of a day together, without what is cancelled": {
			calendar("UID:1\nSUMMARY:x\nDTSTART:20261127T063000Z\nRRULE:FREQ=DAILY", "UID:2\nSUMMARY:x\nDTSTART:20261127T183000Z\nRRULE:FREQ=DAILY\nEXDATE:20261128T183000Z,20261129T183000Z", "UID:3\nSUMMARY:y\nDTSTART:20261127T183000Z\nSTATUS:CANCELLED"),
			"x x,06:30 18:30,,2026-11-27,,,,,,,,,,2026-11-28T18:30Z 2026-11-29T18:30Z,,",
		},
		"one that is moved, and one that is cancelled": {
			calendar("UID:1\nSUMMARY:x\nDTSTART:20261127T063000Z\nRRULE:FREQ=DAILY", "UID:1\nSUMMARY:x\nRECURRENCE-ID:20261128T063000Z\nDTSTART:20261128T070000Z", "UID:1\nSUMMARY:x\nRECURRENCE-ID:20261129T063000Z\nDTSTART:20261129T063000Z\nSTATUS:CANCELLED"),
			"x x,06:30,,2026-11-27,,,,,,,,,,2026-11-28T06:30Z 2026-11-29T06:30Z,, | x-20261128T0630 x,07:00,,2026-11-28,2026-11-28,,,,,,,,,,,",
		},
		"the same title, and another length": {
			calendar("UID:1\nSUMMARY:x\nDTSTART:20261127T063000Z\nRRULE:FREQ=DAILY", "UID:2\nSUMMARY:x\nDTSTART:20261127T183000Z\nRRULE:FREQ=DAILY\nDURATION:PT5M"),
			"x x,06:30,,2026-11-27,,,,,,,,,,,, | x-2 x,18:30,,2026-11-27,,,,,5 min,,,,,,,",
		},
		"dates besides, of periods, and by the day": {
			calendar1("UID:1", "SUMMARY:x", "DTSTART:20261127T063000Z", "RRULE:FREQ=DAILY;COUNT=5", "RDATE;VALUE=PERIOD:20261130T080000Z/PT1H", "EXDATE;VALUE=DATE:20261128"),
			"x x,06:30,,2026-11-27,,,,,,,,,FREQ=DAILY;COUNT=5,2026-11-28T06:30Z,2026-11-30T08:00Z,",
		},
		"all else than events": {
			"BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VTODO\nUID:1\nEND:VTODO\nEND:VCALENDAR\n", "",
		},
	} {
		entries, err := ReadICalendar(strings.NewReader(c.text), "x.ics", Names{Modes: someModes})
		var got []string
		for _, e := range entries {
			id := e.ID
			e.ID = ""
			var b strings.Builder
			if err := WriteCSV(&b, []Entry{e}); err != nil {
				t.Fatal(err)
			}
			_, row, _ := strings.Cut(b.String(), "\n")
			got = append(got, id+" "+strings.TrimPrefix(strings.TrimSpace(row), ","))
		}
		if text := strings.Join(got, " | "); err != nil || text != c.want {
			t.Errorf("%s: %v\n got %s\nwant %s", name, err, text, c.want)
		}
	}
}

func TestICalendarProblems(t *testing.T) {
	good := "UID:2\nSUMMARY:good\nDTSTART:20261127T063000Z"
	for event, want := range map[string]string{
		"UID:1\nSUMMARY:a":                                                                `x.ics:4: the event "a": it has no beginning, DTSTART; remove it, or give it one`,
		"UID:1\nDTSTART;VALUE=DATE:20261127":                                              `x.ics:4: the event "1": it is of a whole day; give it a time, or remove it`,
		"UID:1\nDTSTART:tomorrow":                                                         `DTSTART tomorrow is not a time such as 20261127T063000Z; correct its time`,
		"UID:1\nDTSTART;TZID=W. Europe Standard Time:20261127T063000":                     `is of an unknown time zone "W. Europe Standard Time"; choose a zone with an IANA name such as Europe/Berlin, or UTC, in the calendar, and export it anew`,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nDTEND:20261127T062000Z":              `it ends before it begins; correct its end`,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nDURATION:20M":                        `DURATION 20M is not a length such as PT20M`,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nRRULE:FREQ=NEVER":                    `RRULE FREQ=NEVER is not a rule: `,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nRRULE:FREQ=DAILY\nRRULE:FREQ=WEEKLY": `it has several RRULEs; make several events of it`,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nX-IONOSCRIBE-MODE:fx":                `"fx" is not a mode; did you mean fax?`,
		"UID:1\nSUMMARY:a\nDTSTART:20261127T063000Z\nX-IONOSCRIBE-FREQUENCY:7878":         `X-IONOSCRIBE-FREQUENCY "7878" has no unit such as kHz, MHz or Hz; correct it`,
	} {
		entries, err := ReadICalendar(strings.NewReader(calendar(event, good)), "x.ics", Names{Modes: someModes})
		problems, ok := err.(fault.Problems)
		if !ok || len(problems) != 1 || !strings.Contains(problems[0].Error(), want) {
			t.Errorf("%q:\n got %v\nwant %s", event, err, want)
		}
		if len(entries) != 1 || entries[0].Title != "good" {
			t.Errorf("%q: the good one did not come: %+v", event, entries)
		}
	}
	for _, text := range []string{"", "title,times\n", "BEGIN:VCALENDAR\nBEGIN:VEVENT\n"} {
		if entries, err := ReadICalendar(strings.NewReader(text), "x.ics", Names{}); err == nil && len(entries) == 0 || err != nil && !strings.Contains(err.Error(), "x.ics: it is not iCalendar") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzReadICalendar(f *testing.F) {
	for _, x := range rfcExamples {
		f.Add(rfcEvent(x.start, x.rule))
	}
	f.Add(calendar1("UID:1", "SUMMARY:x", "DTSTART:20261127T063000Z", "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30"))
	f.Fuzz(func(t *testing.T, text string) {
		entries, _ := ReadICalendar(strings.NewReader(text), "x.ics", Names{Modes: someModes})
		for i := range entries {
			if wrong := entries[i].Complete(Names{Modes: someModes}); len(wrong) > 0 {
				t.Fatal(wrong)
			}
		}
		Between(entries, someDay, someDay.AddDate(0, 0, 2))
		throughICalendar(t, entries)
		throughCSV(t, entries)
	})
}

func FuzzReadCSV(f *testing.F) {
	f.Add(someCSV)
	f.Fuzz(func(t *testing.T, text string) {
		entries, err := ReadCSV(strings.NewReader(text), "x.csv", Names{Modes: someModes})
		if err == nil {
			Between(entries, someDay, someDay.AddDate(0, 0, 2))
			throughCSV(t, entries)
		}
	})
}

// A rule that never happens is told, and not counted through whenever it is asked.
func TestImpossibleRules(t *testing.T) {
	for _, rule := range []string{
		"FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=MINUTELY;BYMONTH=2;BYMONTHDAY=30", "FREQ=MINUTELY;INTERVAL=60;BYMINUTE=7",
		"FREQ=HOURLY;INTERVAL=24;BYHOUR=3", "FREQ=MINUTELY;INTERVAL=720;BYHOUR=3", "FREQ=DAILY;UNTIL=20251231",
	} {
		e := Entry{ID: "x", Times: []Clock{0}, From: Date{2026, 1, 1}, Rule: rule}
		wrong := e.Complete(Names{})
		if len(wrong) != 1 || !strings.Contains(wrong[0].Message, "is not a rule: it never happens") {
			t.Errorf("%s: %v", rule, wrong)
		}
	}
}
