package web

import (
	"math"
	"net/http"
	"time"
)

// Bounds of the time of a map, and what it shows if nothing is said: weeks.
const (
	usualBand = 28 * 24 * time.Hour
	mostBand  = 366 * 24 * time.Hour
)

// bandCell is what was heard of a mode near a frequency in an hour of the day.
type bandCell struct {
	Hz            float64 `json:"hz"`
	Hour          int     `json:"hour"`
	Mode          string  `json:"mode"`
	Seconds       float64 `json:"seconds"`
	Transmissions int     `json:"transmissions"`
	SNR           float64 `json:"mean_snr_db"`
}

func (s *Server) band(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := queryOf(r, "from_utc", "to_utc", "receiver")
	now := s.clock()
	from, to := q.time("from_utc"), q.time("to_utc")
	if to.IsZero() {
		to = now
	}
	if from.IsZero() {
		from = to.Add(-usualBand)
	}
	if d := to.Sub(from); d <= 0 || d > mostBand {
		q.wrong(badRequest("from_utc and to_utc must be in order, and at most %.0f days apart", mostBand.Hours()/24))
	}
	if q.err != nil {
		return nil, q.err
	}
	ctx, cancel := inTime(r)
	defer cancel()
	b, err := s.Archive.Band(ctx, from, to, now, q.text("receiver"))
	if err != nil {
		return nil, fromArchive(err)
	}
	answer := struct {
		StepHz     float64     `json:"step_hz"`
		Hours      int         `json:"hours"`
		Modes      []string    `json:"modes"`
		Cells      []bandCell  `json:"cells"`
		HeardHours [24]float64 `json:"heard_hours"`
	}{b.StepHz, 24, notNil(b.Modes), []bandCell{}, b.HeardHours}
	for i, h := range answer.HeardHours {
		answer.HeardHours[i] = math.Round(h*100) / 100
	}
	for _, c := range b.Cells {
		answer.Cells = append(answer.Cells, bandCell{c.Hz, c.Hour, c.Mode, math.Round(c.Seconds), c.Transmissions, math.Round(c.SNR*10) / 10})
	}
	return answer, nil
}
