package programme

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// rfcExamples are those of RFC 5545, section 3.8.5.3, in its order (written down from memory). They begin on 1997-09-02 at
// 9:00 in New York unless they say otherwise. Days are of a year and EDT (UTC-4) or EST (UTC-5), and the time is 9:00 unless it
// is given; the dots are those of the RFC: so on.
var rfcExamples = []struct{ start, rule, want string }{
	{"", "FREQ=DAILY;COUNT=10", "1997 EDT Sep 2-11"},
	{"", "FREQ=DAILY;UNTIL=19971224T000000Z", "1997 EDT Sep 2-30 Oct 1-25 EST Oct 26-31 Nov 1-30 Dec 1-23"},
	{"", "FREQ=DAILY;INTERVAL=2", "1997 EDT Sep 2,4,6,8,10,12,14,16,18,20,22,24,26,28,30 Oct 2,4,6,8,10,12,14,16,18,20,22,24 EST Oct 26,28,30 Nov 1,3,5,7,9,11,13,15,17,19,21,23,25,27,29 Dec 1,3 ..."},
	{"", "FREQ=DAILY;INTERVAL=10;COUNT=5", "1997 EDT Sep 2,12,22 Oct 2,12"},
	{"19980101", "FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA", "1998 EST Jan 1-31 1999 EST Jan 1-31 2000 EST Jan 1-31"},
	{"19980101", "FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1", "1998 EST Jan 1-31 1999 EST Jan 1-31 2000 EST Jan 1-31"},
	{"", "FREQ=WEEKLY;COUNT=10", "1997 EDT Sep 2,9,16,23,30 Oct 7,14,21 EST Oct 28 Nov 4"},
	{"", "FREQ=WEEKLY;UNTIL=19971224T000000Z", "1997 EDT Sep 2,9,16,23,30 Oct 7,14,21 EST Oct 28 Nov 4,11,18,25 Dec 2,9,16,23"},
	{"", "FREQ=WEEKLY;INTERVAL=2;WKST=SU", "1997 EDT Sep 2,16,30 Oct 14 EST Oct 28 Nov 11,25 Dec 9,23 1998 EST Jan 6,20 Feb 3,17 ..."},
	{"", "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH", "1997 EDT Sep 2,4,9,11,16,18,23,25,30 Oct 2"},
	{"", "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH", "1997 EDT Sep 2,4,9,11,16,18,23,25,30 Oct 2"},
	{"19970901", "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR", "1997 EDT Sep 1,3,5,15,17,19,29 Oct 1,3,13,15,17 EST Oct 27,29,31 Nov 10,12,14,24,26,28 Dec 8,10,12,22"},
	{"", "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", "1997 EDT Sep 2,4,16,18,30 Oct 2,14,16"},
	{"19970905", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR", "1997 EDT Sep 5 Oct 3 EST Nov 7 Dec 5 1998 EST Jan 2 Feb 6 Mar 6 Apr 3 EDT May 1 Jun 5"},
	{"19970905", "FREQ=MONTHLY;UNTIL=19971224T000000Z;BYDAY=1FR", "1997 EDT Sep 5 Oct 3 EST Nov 7 Dec 5"},
	{"19970907", "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU", "1997 EDT Sep 7,28 EST Nov 2,30 1998 EST Jan 4,25 Mar 1,29 EDT May 3,31"},
	{"19970922", "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO", "1997 EDT Sep 22 Oct 20 EST Nov 17 Dec 22 1998 EST Jan 19 Feb 16"},
	{"19970928", "FREQ=MONTHLY;BYMONTHDAY=-3", "1997 EDT Sep 28 EST Oct 29 Nov 28 Dec 29 1998 EST Jan 29 Feb 26 ..."},
	{"", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15", "1997 EDT Sep 2,15 Oct 2,15 EST Nov 2,15 Dec 2,15 1998 EST Jan 2,15"},
	{"19970930", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1", "1997 EDT Sep 30 Oct 1 EST Oct 31 Nov 1,30 Dec 1,31 1998 EST Jan 1,31 Feb 1"},
	{"19970910", "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15", "1997 EDT Sep 10-15 1999 EST Mar 10-13"},
	{"", "FREQ=MONTHLY;INTERVAL=2;BYDAY=TU", "1997 EDT Sep 2,9,16,23,30 EST Nov 4,11,18,25 1998 EST Jan 6,13,20,27 Mar 3,10,17,24,31 ..."},
	{"19970610", "FREQ=YEARLY;COUNT=10;BYMONTH=6,7", "1997 EDT Jun 10 Jul 10 1998 EDT Jun 10 Jul 10 1999 EDT Jun 10 Jul 10 2000 EDT Jun 10 Jul 10 2001 EDT Jun 10 Jul 10"},
	{"19970310", "FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3", "1997 EST Mar 10 1999 EST Jan 10 Feb 10 Mar 10 2001 EST Jan 10 Feb 10 Mar 10 2003 EST Jan 10 Feb 10 Mar 10"},
	{"19970101", "FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200", "1997 EST Jan 1 EDT Apr 10 Jul 19 2000 EST Jan 1 EDT Apr 9 Jul 18 2003 EST Jan 1 EDT Apr 10 Jul 19 2006 EST Jan 1"},
	{"19970519", "FREQ=YEARLY;BYDAY=20MO", "1997 EDT May 19 1998 EDT May 18 1999 EDT May 17 ..."},
	{"19970512", "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", "1997 EDT May 12 1998 EDT May 11 1999 EDT May 17 ..."},
	{"19970313", "FREQ=YEARLY;BYMONTH=3;BYDAY=TH", "1997 EST Mar 13,20,27 1998 EST Mar 5,12,19,26 1999 EST Mar 4,11,18,25 ..."},
	{"19970605", "FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8", "1997 EDT Jun 5,12,19,26 Jul 3,10,17,24,31 Aug 7,14,21,28 1998 EDT Jun 4,11,18,25 Jul 2,9,16,23,30 Aug 6,13,20,27 1999 EDT Jun 3,10,17,24 Jul 1,8,15,22,29 Aug 5,12,19,26 ..."},
	{"19970902", "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13\nEXDATE;TZID=America/New_York:19970902T090000", "1998 EST Feb 13 Mar 13 Nov 13 1999 EDT Aug 13 2000 EDT Oct 13 ..."},
	{"19970913", "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13", "1997 EDT Sep 13 Oct 11 EST Nov 8 Dec 13 1998 EST Jan 10 Feb 7 Mar 7 EDT Apr 11 May 9 Jun 13 ..."},
	{"19961105", "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8", "1996 EST Nov 5 2000 EST Nov 7 2004 EST Nov 2 ..."},
	{"19970904", "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", "1997 EDT Sep 4 Oct 7 EST Nov 6"},
	{"19970929", "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", "1997 EDT Sep 29 EST Oct 30 Nov 27 Dec 30 1998 EST Jan 29 Feb 26 Mar 30 ..."},
	// The RFC has UNTIL=19970902T170000Z, but means 17:00 in New York, as an erratum says.
	{"", "FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T210000Z", "1997 EDT Sep 2@9:00,12:00,15:00"},
	{"", "FREQ=MINUTELY;INTERVAL=15;COUNT=6", "1997 EDT Sep 2@9:00,9:15,9:30,9:45,10:00,10:15"},
	{"", "FREQ=MINUTELY;INTERVAL=90;COUNT=4", "1997 EDT Sep 2@9:00,10:30,12:00,13:30"},
	{"", "FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40", "1997 EDT Sep 2@9:00,9:20,9:40,10:00,10:20,10:40,11:00,11:20,11:40,12:00,12:20,12:40,13:00,13:20,13:40,14:00,14:20,14:40,15:00,15:20,15:40,16:00,16:20,16:40 3@9:00,9:20 ..."},
	{"", "FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16", "1997 EDT Sep 2@9:00,9:20,9:40,10:00,10:20,10:40,11:00,11:20,11:40,12:00,12:20,12:40,13:00,13:20,13:40,14:00,14:20,14:40,15:00,15:20,15:40,16:00,16:20,16:40 3@9:00,9:20 ..."},
	{"19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "1997 EDT Aug 5,10,19,24"},
	{"19970805", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "1997 EDT Aug 5,17,19,31"},
	{"20070115", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", "2007 EST Jan 15,30 Feb 15 EDT Mar 15,30"},
}

// rfcTimes reads what an example wants.
func rfcTimes(t *testing.T, s string) (all []time.Time, more bool) {
	year, month, zone := 0, "", ""
	for _, word := range strings.Fields(s) {
		days, clocks, hasClocks := strings.Cut(word, "@")
		switch n, err := strconv.Atoi(word); {
		case word == "...":
			return all, true
		case word == "EDT" || word == "EST":
			zone = map[string]string{"EDT": "-0400", "EST": "-0500"}[word]
			continue
		case err == nil && n > 31:
			year = n
			continue
		case word[0] > '9':
			month = word
			continue
		}
		if !hasClocks {
			clocks = "9:00"
		}
		for _, day := range strings.Split(days, ",") {
			first, last, ranged := strings.Cut(day, "-")
			a, _ := strconv.Atoi(first)
			b := a
			if ranged {
				b, _ = strconv.Atoi(last)
			}
			for d := a; d <= b; d++ {
				for _, c := range strings.Split(clocks, ",") {
					at, err := time.Parse("2006 Jan 2 15:04 -0700", fmt.Sprintf("%d %s %d %s %s", year, month, d, c, zone))
					if err != nil {
						t.Fatal(err)
					}
					all = append(all, at.UTC())
				}
			}
		}
	}
	return all, false
}

func rfcEvent(start, rule string) string {
	if start == "" {
		start = "19970902"
	}
	lines := []string{"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//invented//EN", "BEGIN:VEVENT", "UID:example", "DTSTAMP:19970101T000000Z", "SUMMARY:Example",
		"DTSTART;TZID=America/New_York:" + start + "T090000", "RRULE:" + rule, "END:VEVENT", "END:VCALENDAR", ""}
	return strings.ReplaceAll(strings.Join(lines, "\n"), "\n", "\r\n")
}

// Each example gives the times that the RFC gives, when they are asked for at once, a day at a time, and after the entry was
// written as CSV and iCalendar and read again.
func TestRecurrenceOfRFC5545(t *testing.T) {
	for _, x := range rfcExamples {
		want, more := rfcTimes(t, x.want)
		entries, err := ReadICalendar(strings.NewReader(rfcEvent(x.start, x.rule)), "x.ics", Names{})
		if err != nil || len(entries) != 1 {
			t.Errorf("%s: %v, %v", x.rule, entries, err)
			continue
		}
		end := want[len(want)-1].Add(time.Minute)
		if !more { // there are none later
			end = end.AddDate(10, 0, 0)
		}
		check := func(how string, entries []Entry) {
			if got := times(Between(entries, want[0].AddDate(-2, 0, 0), end)); !slices.Equal(got, want) {
				t.Errorf("%s, %s:\n got %v\nwant %v", x.rule, how, got, want)
			}
		}
		check("at once", entries)
		var byDay []time.Time
		for day := want[0].Truncate(24 * time.Hour); day.Before(want[len(want)-1]); day = day.Add(24 * time.Hour) {
			byDay = append(byDay, times(Between(entries, day, day.Add(24*time.Hour)))...)
		}
		if len(byDay) < len(want) || !slices.Equal(byDay[:len(want)], want) {
			t.Errorf("%s, day by day: %v", x.rule, byDay)
		}
		check("through CSV", throughCSV(t, entries))
		check("through iCalendar", throughICalendar(t, entries))
	}
}

func times(all []Occurrence) (times []time.Time) {
	for _, o := range all {
		times = append(times, o.At)
	}
	return times
}

func throughCSV(t *testing.T, entries []Entry) []Entry {
	t.Helper()
	var b strings.Builder
	if err := WriteCSV(&b, entries); err != nil {
		t.Fatal(err)
	}
	again, err := ReadCSV(strings.NewReader(b.String()), "x.csv", Names{Modes: someModes})
	if err != nil {
		t.Fatalf("%v\n%s", err, b.String())
	}
	return again
}

func throughICalendar(t *testing.T, entries []Entry) []Entry {
	t.Helper()
	var b strings.Builder
	if err := WriteICalendar(&b, entries, someDay); err != nil {
		t.Fatal(err)
	}
	again, err := ReadICalendar(strings.NewReader(b.String()), "x.ics", Names{Modes: someModes})
	if err != nil {
		t.Fatalf("%v\n%s", err, b.String())
	}
	return again
}

var (
	someModes = []string{"cw", "rtty", "fax"}
	someDay   = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)
)
