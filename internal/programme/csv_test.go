package programme

import (
	"reflect"
	"strings"
	"testing"

	"ionoscribe/internal/fault"
)

const someCSV = "\ufeff" + `title,times,days,from,to,frequency,mode,receivers,length,early,late,within,rule,except,also,zone,id
"North Sea, ""analysis""",06:30 18:30,Mon-Fri,2026-01-01,2026-12-31,7878.1 kHz,fax,north south,20 min,1 min,10 min,500 Hz,,2026-12-25T06:30Z,2026-12-26T07:00Z,,analysis
Gale warning,0000 1200,,,,518 kHz,rtty,,,,,,,,,,
Würzige Übersicht,06:00,,2026-02-02,,,,,90 s,,,,FREQ=MONTHLY;BYDAY=1MO,,,Europe/Berlin,
`

func TestCSV(t *testing.T) {
	entries, err := ReadCSV(strings.NewReader(someCSV), "x.csv", Names{Modes: someModes, Receivers: []string{"north", "south"}})
	if err != nil || len(entries) != 3 {
		t.Fatal(entries, err)
	}
	if again := throughCSV(t, entries); !reflect.DeepEqual(again, entries) {
		t.Errorf("through CSV:\n%+v\n%+v", again, entries)
	}
	if e := entries[0]; e.Title != `North Sea, "analysis"` || e.FrequencyHz != 7878100 || e.WithinHz != 500 || e.Days.String() != "Mon Tue Wed Thu Fri" || e.From.String() != "2026-01-01" {
		t.Errorf("%+v", e)
	}
	if ids := entries[1].ID + " " + entries[2].ID; ids != "gale-warning-518 würzige-übersicht" {
		t.Error(ids)
	}
	semicolons, err := ReadCSV(strings.NewReader("title;times;frequency\na, b;06:30,07:30;518 kHz\n"), "x.csv", Names{})
	if err != nil || len(semicolons) != 1 || semicolons[0].Title != "a, b" || len(semicolons[0].Times) != 2 {
		t.Error(semicolons, err)
	}
}

func TestCSVProblems(t *testing.T) {
	for text, want := range map[string]string{
		"":                                                                "x.csv:1: there is no row that names the columns; see the help of the command programme",
		"title,tmes\na,06:30\n":                                           `x.csv:1:7: there is no column "tmes"; did you mean times?`,
		"title,times,title\na,06:30,b\n":                                  `x.csv:1:13: the column "title" is there twice; leave one out`,
		"title,times\na,06:30\nb,6.30\n":                                  `x.csv:3:3: times "6.30" is not a time of the day such as 06:30`,
		"title,times\na,06:30,b\n":                                        `x.csv:2:1: the row has not as many cells as there are columns; add or take out separators`,
		"title,times\n\"a,06:30\n":                                        `x.csv:2:10: it is not CSV: extraneous or missing " in quoted-field; put a cell that has a comma or " between ", and write " as "" in it`,
		"title,times\na,06:30\na,07:30\n":                                 `x.csv:3:1: the entry of line 2 has the id a too; give one of them an id of its own`,
		"title,times,mode\na,06:30,fx\n":                                  `x.csv:2:9: "fx" is not a mode; did you mean fax?`,
		"title,times,mode\na,06:30,teletype\n":                            `x.csv:2:9: "teletype" is not a mode; there are: cw, rtty, fax`,
		"title,times,receivers\na,06:30,nroth\n":                          `x.csv:2:9: there is no receiver "nroth"; did you mean north?`,
		"title,times,frequency\na,06:30,7878\n":                           `x.csv:2:9: frequency "7878" has no unit such as kHz, MHz or Hz`,
		"title,times,frequency\na,06:30,0 kHz\n":                          `x.csv:2:9: frequency "0 kHz" is no frequency; leave it out if any will do`,
		"title,times,days\na,06:30,Mo\n":                                  `x.csv:2:9: days "Mo" are not days of the week such as Mon Wed or Mon-Fri`,
		"title,times,from\na,06:30,2026-02-29\n":                          `x.csv:2:9: from "2026-02-29" is not a day such as 2026-11-27`,
		"title,times,from,to\na,06:30,2026-02-03,2026-02-02\n":            `x.csv:2:20: the last day, 2026-02-02, is before the first, 2026-02-03; change one of them`,
		"title,times,length\na,06:30,20\n":                                `x.csv:2:9: length "20" is not a length of time such as 90 s, 20 min, 6 h or 30 days`,
		"title,times,late\na,06:30,13 h\n":                                `x.csv:2:9: 13 h is more than 12 h; give less`,
		"title,times,zone\na,06:30,Berlin\n":                              `x.csv:2:9: "Berlin" is not a time zone; give an IANA name such as Europe/Berlin, or none for UTC`,
		"title,times,rule\na,06:30,FREQ=DAILY\n":                          `x.csv:2:9: the rule has no day from which it counts; give from, the day of its first occurrence`,
		"title,times,from,rule\na,06:30,2026-02-02,FREQ=SOMETIMES\n":      `"FREQ=SOMETIMES" is not a rule: `,
		"title,times,from,rule\na,06:30,2026-02-02,FREQ=SECONDLY\n":       `is not a rule: FREQ=SECONDLY: a programme has no seconds; see RFC 5545, section 3.3.10`,
		"title,times,from,days,rule\na,06:30,2026-02-02,Mon,FREQ=DAILY\n": `a rule goes with neither days nor to; say it by the rule's BYDAY and UNTIL`,
		"title,times\na,\n":                                               `x.csv:2:3: the entry has no times; give one or more, such as 06:30`,
		"id,times\na b,06:30\n":                                           `x.csv:2:1: id "a b" has other than letters, digits, - . and _; use letters, digits, - . and _`,
		"title,times\n,06:30\n":                                           `x.csv:2:1: the entry has neither title nor id; give a title or an id`,
	} {
		_, err := ReadCSV(strings.NewReader(text), "x.csv", Names{Modes: someModes, Receivers: []string{"north", "south"}})
		problems, ok := err.(fault.Problems)
		if !ok || len(problems) != 1 || !strings.Contains(problems[0].Error(), want) {
			t.Errorf("%q:\n got %v\nwant %s", text, err, want)
		}
	}
	_, err := ReadCSV(strings.NewReader("title,times,mode\na,6,fx\nb,06:30,fx\n"), "x.csv", Names{Modes: someModes})
	if problems, ok := err.(fault.Problems); !ok || len(problems) != 2 {
		t.Error("not all problems are told at once:", err)
	}
}
