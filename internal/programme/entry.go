package programme

import "time"

// Entry is a line of a programme. A zero field says nothing: no days are all days, no mode is any.
type Entry struct {
	ID    string // unique
	Title string

	Times []Clock // of the day, in order, one at least
	Days  Days    // of the week
	From  Date    // first day
	To    Date    // last day
	// Rule is a recurrence rule (RFC 5545, 3.3.10), such as FREQ=MONTHLY;BYDAY=1MO, for what days of the week cannot say. It
	// counts from From, which it needs, at each of Times, and goes without Days and To.
	Rule   string
	Except []time.Time // beginnings that fall out, UTC
	Also   []time.Time // beginnings besides, UTC
	// Zone is the IANA name of the time zone of Times, Days, From, To and Rule; "": UTC.
	Zone string

	FrequencyHz float64  // on the air; 0: any
	WithinHz    float64  // from FrequencyHz; 0: [DefaultWithinHz]
	Mode        string   // name of a mode; "": any
	Receivers   []string // any of these; none: any

	Length time.Duration // 0: it is not known
	Early  time.Duration // by which it may begin before its time; 0: [DefaultEarly]
	Late   time.Duration // by which it may begin after its time; 0: [DefaultLate]
}

const (
	// DefaultEarly and DefaultLate allow for a clock that is read by hand and a programme that runs late (common practice).
	DefaultEarly = 2 * time.Minute
	DefaultLate  = 5 * time.Minute
	// DefaultWithinHz has room for schedules that name the frequency of a carrier 1900 Hz below the middle of a chart's.
	DefaultWithinHz = 2000.0
)

// Clock is a time of the day, in minutes since midnight.
type Clock int

// Days are some days of the week, bit 0 Sunday as in [time.Weekday]; 0 are all.
type Days uint8

// Date is a day; the zero value is none.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}
