package alerts

import (
	_ "embed"
	"encoding/csv"
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

// Country is whose series a call sign is of: the name in series.csv, or "" if it is of none. Beginnings of two characters are
// enough where all third ones are one country's.
func Country(call string) string {
	call = strings.ToUpper(call)
	if len(call) < 2 {
		return ""
	}
	third := call[2:]
	if third == "" || third[0] < 'A' || third[0] > 'Z' { // series tell of letters there: "LA1" is of the series of LAA to LAZ
		if a, z := Country(call[:2]+"A"), Country(call[:2]+"Z"); a == z {
			return a
		}
		return ""
	}
	for _, s := range allSeries {
		if call[:3] >= s.first && call[:3] <= s.last {
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
