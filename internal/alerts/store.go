package alerts

import "time"

// Alert is what the operator is told, and what ways out send as JSON.
type Alert struct {
	ID           int64     `json:"id"` // given by the store
	Station      string    `json:"station"`
	Rule         string    `json:"rule"`
	What         What      `json:"what"`
	UTC          time.Time `json:"utc"`  // of what happened
	Made         time.Time `json:"made"` // when it was put into the outbox
	Summary      string    `json:"summary"`
	Receiver     string    `json:"receiver,omitempty"`
	Transmission int64     `json:"transmission,omitempty"`
	Mode         string    `json:"mode,omitempty"`
	FrequencyHz  float64   `json:"frequency_hz,omitempty"`
	Entry        string    `json:"entry,omitempty"`
	Title        string    `json:"title,omitempty"`
	Match        string    `json:"match,omitempty"`   // the words that met the rule, as they were printed
	Call         string    `json:"call,omitempty"`    // the call sign that met the rule
	Excerpt      string    `json:"excerpt,omitempty"` // text up to there, or of a line that came as a whole, to its end
	Country      string    `json:"country,omitempty"`
	Detail       string    `json:"detail,omitempty"`
	HeldBack     int       `json:"held_back,omitempty"` // alerts of this rule that were held back since the last one
	Test         bool      `json:"test,omitempty"`      // nothing has happened: the operator tries a rule
}

// State is what has become of a delivery.
type State string

const (
	Pending   State = "pending"
	Delivered State = "delivered"
	GivenUp   State = "given up"
)

// Delivery is an alert on one way out.
type Delivery struct {
	ID    int64 // given by the store
	Alert Alert
	Way   string

	// What Mark changes.
	State    State
	Due      time.Time // of Pending: when it is tried next
	Attempts int       // begun so far
	// MaybeSent says that an attempt may have arrived though it is not known to have: the next one is marked as repeated.
	MaybeSent bool
	Changed   time.Time // when it was marked last
	Reply     string    // of the last attempt: what the other side answered, or what failed
}

// Held is what is known of a rule's alerts: when the last one was made and what was held back since.
type Held struct {
	Rule   string
	Last   time.Time // Made of the last alert that was added; zero: there was none
	Count  int       // held back since
	Latest Alert     // of those that were held back, if Count is not 0
}

// Store is the outbox. What a method has done is on the disk when it returns. Methods are called from one goroutine.
type Store interface {
	// Add keeps a with a delivery for each way, pending, due at once and changed (both a.Made), and forgets what was held back of
	// its rule: all or nothing. It returns the ID of the alert, which no other one ever gets.
	Add(a Alert, ways []string) (int64, error)
	// Hold keeps an alert that is held back as the latest one, and counts it and those that its HeldBack tells of.
	Hold(a Alert) error
	// Held tells of each rule that ever had an alert.
	Held() ([]Held, error)
	// Due gives, for each way out, the pending delivery that has been due longest, if one is due by now. One that was changed later
	// than now is due, too: the clock was put back.
	Due(now time.Time) ([]Delivery, error)
	// Mark keeps what Delivery says that it changes.
	Mark(d Delivery) error
}
