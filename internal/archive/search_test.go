package archive

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// finds are the numbers that a query finds.
func finds(t testing.TB, r *Reader, q Query) []ID {
	t.Helper()
	hits, err := r.Search(context.Background(), q)
	must(t, err)
	var all []ID
	for _, h := range hits {
		all = append(all, h.ID)
	}
	slices.Sort(all)
	return all
}

func TestSearchWords(t *testing.T) {
	a := open(t, t.TempDir())
	long := strings.Repeat("FILLER TEXT OF A LONG BULLETIN\n", 15) + "ALPHA BRAVO CHARLIE DELTA ECHO\nFOXTROT GOLF HOTEL INDIA JULIETT KILO LIMA MIKE NOVEMBER\n"
	for _, text := range []string{
		1:  "GALE WARNING OSTREL SEA",
		2:  "NO WARNING IN FORCE. A GALE IS NOT EXPECTED",
		3:  "GALE\nWARNING", // over the end of a line
		4:  "GA⌊X⌋E WARNING",
		5:  "G⌊XX⌋E WARNING",  // two doubtful characters
		6:  "GA⌊L⌋LE WARNING", // one that was not sent
		7:  "GA⌊E⌋ WARNING",   // one was lost
		8:  "GAXE WARNING",    // wrong, and sure of it
		9:  "GA⌊ ⌋E WARNING",  // a gap that was a letter
		10: "GALE⌊E⌋WARNING",  // a letter that was a gap
		11: "METEO OSTRÉL: été à Genève",
		12: long,
		13: "⌊G⌋",
		14: "CQ CQ DE ZZ9ZZZ",
		15: "ЦЕНТР ПОГОДЫ",
		16: "VVV = TEST = 59/12.5",
		17: "ALPHA BRAVO CHARLIE DELTA ECHO FOXTROT GOLF HOTEL INDIA JULIETT KILO MIKE",
	} {
		if text != "" {
			hear(a, "north", "rtty", noon, text)
		}
	}
	titled := hearChart(t, a, "south", "Gale chart", noon) // 18
	flush(t, a)
	if titled != 18 {
		t.Fatal(titled)
	}
	notes := "Thunderstorm nearby"
	must(t, a.Note(context.Background(), 14, Note{Notes: &notes}))
	for _, c := range []struct {
		words string
		want  []ID
	}{
		{"gale warning", []ID{1, 2, 3}},
		{"GALE", []ID{1, 2, 3, 18}},
		{`"gale warning"`, []ID{1, 3}},
		{`"warning gale"`, nil},
		{"~gale warning", []ID{1, 2, 3, 4, 6, 7, 9}},
		{"~gale ~warning", []ID{1, 2, 3, 4, 6, 7, 9, 10}},
		{"warning -gale", []ID{4, 5, 6, 7, 8, 9}},
		{"warning -~gale", []ID{5, 8}},
		{"ostr*", []ID{1, 11}},
		{"ostrel", []ID{1, 11}},
		{"Ete GENEVE", []ID{11}},
		{"центр", []ID{15}},
		{"zz9zzz", []ID{14}},
		{"thunder*", []ID{14}},
		{"thunderstorm cq", []ID{14}},
		{`"alpha bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november"`, []ID{12}},
		{`"alpha bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike oscar"`, nil},
		{`"delta echo foxtrot golf"`, []ID{12, 17}},
		{`"echo foxtrot" -mike`, nil},
		{`"kilo mi"*`, []ID{17}},
		{"59/12.5", []ID{16}},
		{`"59 12 5"`, []ID{16}},
		{"filler november", []ID{12}},
		{"-warning -gale -alpha", []ID{10, 11, 13, 14, 15, 16}},
		{"AND OR NOT NEAR", nil},
		{"text:gale", nil}, // no column filter: the phrase "text gale"
	} {
		if got := finds(t, &a.Reader, Query{Words: c.words}); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.words, got, c.want)
		}
	}
	if got := finds(t, &a.Reader, Query{Title: "gale"}); !slices.Equal(got, []ID{18}) {
		t.Errorf("title: %v", got)
	}
	for words, line := range map[string]string{
		`"echo foxtrot golf"`: "ALPHA BRAVO CHARLIE DELTA ECHO",
		"lima":                "FOXTROT GOLF HOTEL INDIA JULIETT KILO LIMA MIKE NOVEMBER",
	} {
		hits, err := a.Search(context.Background(), Query{Words: words, Before: 17})
		must(t, err)
		if len(hits) != 1 || len(hits[0].Found) != 1 || hits[0].Found[0].Text != line {
			t.Errorf("%s: %+v", words, hits)
		}
	}
	hits, err := a.Search(context.Background(), Query{Words: "~gale", Before: 5, Limit: 1})
	must(t, err)
	if len(hits) != 1 || len(hits[0].Found) != 1 || hits[0].Found[0].Text != "GAXE WARNING" {
		t.Errorf("%+v", hits)
	}
}

// An alternative that the decoder had is found as it is.
func TestSearchAlternatives(t *testing.T) {
	a := open(t, t.TempDir())
	id := a.Begin(Transmission{Begun: noon, Mode: "cw"})
	for i, c := range []Char{{Text: "S", Confidence: 1}, {Text: "5", Confidence: 0.4, Alternatives: []string{"H", "HE"}}, {Text: "I", Confidence: 1}, {Text: "P", Confidence: 1}} {
		c.At = noon.Add(time.Duration(i) * time.Second)
		a.Text(id, c)
	}
	a.End(id, noon.Add(5*time.Second))
	flush(t, a)
	for words, want := range map[string]int{"~ship": 1, "~sheip": 1, "~s5ip": 1, "~skip": 1, "~scrip": 0, "ship": 0, "~sip": 1, "~ip": 1} {
		if got := finds(t, &a.Reader, Query{Words: words}); len(got) != want {
			t.Errorf("%s: %v", words, got)
		}
	}
	r, err := a.Transmission(context.Background(), id)
	must(t, err)
	if c := r.Text[0].Chars[1]; c.Text != "5" || !slices.Equal(c.Alternatives, []string{"H", "HE"}) || !c.At.Equal(noon.Add(time.Second)) || c.Confidence != 0.4 {
		t.Errorf("%+v", c)
	}
}

func TestSearchFields(t *testing.T) {
	a := open(t, t.TempDir())
	for i := range 12 {
		mode, receiver := []string{"rtty", "cw", "fax"}[i%3], []string{"north", "south"}[i%2]
		begun := noon.Add(time.Duration(i) * time.Hour)
		id := a.Begin(Transmission{Mode: mode, Receiver: receiver, Begun: begun, Hz: 1e6 * float64(i+1), LowHz: 1e6*float64(i+1) - 500, HighHz: 1e6*float64(i+1) + 500, Favourite: i == 7, Rating: i % 6})
		tell(a, id, begun, fmt.Sprintf("NUMBER %d", i))
		a.End(id, begun.Add(30*time.Minute))
	}
	flush(t, a)
	for i, c := range []struct {
		q    Query
		want []ID
	}{
		{Query{Modes: []string{"cw"}}, []ID{2, 5, 8, 11}},
		{Query{Modes: []string{"cw", "fax"}, Receivers: []string{"north"}}, []ID{3, 5, 9, 11}},
		{Query{LowHz: 3.0005e6, HighHz: 5e6}, []ID{3, 4, 5}},
		{Query{From: noon.Add(2*time.Hour + 30*time.Minute), To: noon.Add(4 * time.Hour)}, []ID{3, 4}},
		{Query{Favourites: true}, []ID{8}},
		{Query{LeastRating: 5}, []ID{6, 12}},
		{Query{LeastQuality: 0.98}, nil},
		{Query{Charts: true}, nil},
		{Query{Words: "number", Limit: 3}, []ID{10, 11, 12}},
		{Query{Words: "number", Limit: 3, Before: 10}, []ID{7, 8, 9}},
		{Query{Words: "number 4"}, []ID{5}},
		{Query{Words: "number", Modes: []string{"cw"}}, []ID{2, 5, 8, 11}},
	} {
		if got := finds(t, &a.Reader, c.q); !slices.Equal(got, c.want) {
			t.Errorf("%d: %v, want %v", i, got, c.want)
		}
	}
}

func TestBadWords(t *testing.T) {
	for words, says := range map[string]string{
		`"gale`:                     "no closing quotation mark",
		"=":                         "no letter or figure",
		"ga*le":                     "is not at its end",
		"a*":                        "almost everything",
		"~gale*":                    "both",
		`~"gale sea"`:               "phrase",
		"-":                         "no letter",
		strings.Repeat("gale ", 40): "at most",
		strings.Repeat("g", 70):     "too long",
	} {
		if err := CheckWords(words); err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", words, err)
		}
	}
}
