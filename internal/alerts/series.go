package alerts

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
)

//go:embed series.csv
var seriesFile string

// series is a series of call signs, by their first three characters.
type series struct{ first, last, country string }

// allSeries are in no order, without overlaps.
var allSeries = mustReadSeries(seriesFile)

func mustReadSeries(file string) []series {
	s, err := readSeries(file)
	if err != nil {
		panic("series.csv: " + err.Error()) // the file is ours
	}
	return s
}

func readSeries(file string) ([]series, error) {
	r := csv.NewReader(strings.NewReader(file))
	r.Comment = '#'
	r.FieldsPerRecord = 3
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) < 2 {
		return nil, errors.New("there are no series")
	}
	var all []series
	for i, row := range rows[1:] { // below the heading
		s := series{row[0], row[1], row[2]}
		if len(s.first) != 3 || len(s.last) != 3 || s.first > s.last {
			return nil, fmt.Errorf("series %d, %s to %s, is none", i+1, s.first, s.last)
		}
		all = append(all, s)
	}
	return all, nil
}

// Country is whose series a call sign is of: the name in series.csv, or "" if it is of none. Its beginning is enough, as far as
// it is one country's.
func Country(call string) string {
	call = strings.ToUpper(call)
	// A series is told by three letters, of which the first may be a figure. What has a figure, or nothing, further behind is of the
	// series that have everything there.
	for n := min(len(call), 3); n > 0; n-- {
		begin := call[:n]
		first, last := countryOf(begin+"AAA"[n:]), countryOf(begin+"ZZZ"[n:])
		if first == last && first != "" {
			return first
		}
	}
	return ""
}

func countryOf(begin string) string {
	for _, s := range allSeries {
		if begin >= s.first && begin <= s.last {
			return s.country
		}
	}
	return ""
}

// Countries are the names of all that have a series, in order.
func Countries() []string {
	var names []string
	for _, s := range allSeries {
		names = append(names, s.country)
	}
	slices.Sort(names)
	return slices.Compact(names)
}
