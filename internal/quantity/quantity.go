package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// What a text is not, as the end of a sentence.
var (
	ErrFrequency = errors.New("is not a frequency such as 7878.1kHz, 7.8781MHz or 7878100")
	ErrUnit      = errors.New("has no unit such as kHz, MHz or Hz")
	ErrDuration  = errors.New("is not a length of time such as 90 s, 20 min, 6 h or 30 days")
	ErrBytes     = errors.New("is not a number of bytes such as 500 MB or 20 GB")
)

// MostHz is more than any receiver is tuned to.
const MostHz = 1e12

type unit struct {
	name   string
	amount float64
}

// Units; of one that ends another's name, the longer comes first.
var (
	hertz   = []unit{{"khz", 1e3}, {"mhz", 1e6}, {"ghz", 1e9}, {"hz", 1}}
	seconds = []unit{
		{"days", 86400}, {"day", 86400}, {"d", 86400}, {"hours", 3600}, {"hour", 3600}, {"h", 3600},
		{"minutes", 60}, {"minute", 60}, {"min", 60}, {"m", 60}, {"seconds", 1}, {"second", 1}, {"s", 1},
	}
	bytes = []unit{{"kb", 1e3}, {"mb", 1e6}, {"gb", 1e9}, {"tb", 1e12}}
)

// Hz reads a frequency, in Hz if it has no unit, to a thousandth of a Hz; it may be negative.
func Hz(s string) (float64, error) {
	number, amount := cutUnit(s, hertz)
	if amount == 0 {
		amount = 1
	}
	hz, err := strconv.ParseFloat(number, 64)
	if err != nil || !(math.Abs(hz)*amount <= MostHz) {
		return 0, ErrFrequency
	}
	return math.Round(hz*amount*1e3) / 1e3, nil // a multiplication leaves digits
}

// HzWithUnit reads a frequency that is not negative and has a unit.
func HzWithUnit(s string) (float64, error) {
	hz, err := Hz(s)
	switch _, amount := cutUnit(s, hertz); {
	case err != nil || hz < 0:
		return 0, ErrFrequency
	case amount == 0:
		return 0, ErrUnit
	}
	return hz, nil
}

// Duration reads a length of time that is not negative, of one or more numbers with units: 1 h 30 min.
func Duration(s string) (time.Duration, error) {
	rest := strings.ToLower(strings.Join(strings.Fields(s), ""))
	if rest == "" {
		return 0, ErrDuration
	}
	total := 0.0
	for rest != "" {
		i := strings.IndexFunc(rest, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
		if i < 1 {
			return 0, ErrDuration
		}
		number, err := strconv.ParseFloat(rest[:i], 64)
		if err != nil {
			return 0, ErrDuration
		}
		rest = rest[i:]
		amount := 0.0
		for _, u := range seconds {
			if after, ok := strings.CutPrefix(rest, u.name); ok {
				rest, amount = after, u.amount
				break
			}
		}
		if total += number * amount; amount == 0 || total > math.MaxInt64/1e10 {
			return 0, ErrDuration
		}
	}
	return time.Duration(math.Round(total * float64(time.Second))), nil
}

// Bytes reads a number of bytes, of which it is a unit's thousands, millions, ...
func Bytes(s string) (int64, error) {
	number, amount := cutUnit(s, bytes)
	n, err := strconv.ParseFloat(number, 64)
	if err != nil || amount == 0 || !(n >= 0 && n*amount < 1e18) {
		return 0, ErrBytes
	}
	return int64(math.Round(n * amount)), nil
}

// cutUnit splits a text into a number and the amount of the unit behind it; 0 if there is none.
func cutUnit(s string, units []unit) (number string, amount float64) {
	number = strings.ToLower(strings.TrimSpace(s))
	for _, u := range units {
		if rest, ok := strings.CutSuffix(number, u.name); ok {
			return strings.TrimSpace(rest), u.amount
		}
	}
	return number, 0
}

// KHz writes a frequency in kHz.
func KHz(hz float64) string { return strconv.FormatFloat(hz/1e3, 'f', -1, 64) + " kHz" }

// Hertz writes a frequency in Hz.
func Hertz(hz float64) string { return strconv.FormatFloat(hz, 'f', -1, 64) + " Hz" }

// Short writes a length of time in whole days, hours, minutes or seconds: the largest unit of which it is whole.
func Short(d time.Duration) string {
	for _, u := range []struct {
		name string
		d    time.Duration
	}{{"day", 24 * time.Hour}, {"h", time.Hour}, {"min", time.Minute}, {"s", time.Second}} {
		if n := d / u.d; d%u.d == 0 && n > 0 {
			if u.name == "day" && n > 1 {
				u.name = "days"
			}
			return fmt.Sprintf("%d %s", n, u.name)
		}
	}
	return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) + " s"
}
