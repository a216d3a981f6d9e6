package station

import (
	"cmp"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Health is what /health tells.
type Health struct {
	Well      bool      `json:"well"` // what is heard can be kept, and no receiver is without samples
	Began     time.Time `json:"began"`
	Receivers []Status  `json:"receivers"`
	Pending   int       `json:"archive_pending_rows"`
	Committed time.Time `json:"archive_committed"`
	Charts    int       `json:"charts_waiting"`
	Lost      Lost      `json:"lost"`
	Trouble   string    `json:"trouble,omitempty"`
}

// Lost is what could not be kept since the start: there was more than waits for a disk.
type Lost struct {
	Rows   int64            `json:"archive_rows"`
	Charts int              `json:"charts"`
	Sound  map[string]int64 `json:"sound_samples,omitempty"` // of each receiver
}

// Health is that of now.
func (s *Station) Health() Health {
	a := s.archive.Stats()
	h := Health{Began: s.began, Receivers: s.Status(), Pending: a.PendingRows, Committed: a.Committed}
	h.Lost.Rows = a.LostRows
	h.Charts, h.Lost.Charts = s.saver.queue()
	for name, r := range s.rings() {
		if lost := r.Stats().Dropped; lost > 0 {
			if h.Lost.Sound == nil {
				h.Lost.Sound = map[string]int64{}
			}
			h.Lost.Sound[name] = lost
		}
	}
	trouble := cmp.Or(s.troubles())
	h.Trouble = inWords(trouble)
	h.Well = trouble == nil
	for _, r := range h.Receivers {
		h.Well = h.Well && (r.Ended || r.Connected && r.still < silentAfter)
	}
	return h
}

// Moves says that every receiver that is connected has given samples of late: none is stuck.
func (s *Station) Moves() bool {
	for _, r := range s.Status() {
		if r.Connected && r.still > stuckAfter {
			return false
		}
	}
	return true
}

// stuckAfter is how long a block may take; a receiver without samples is told silence by its source.
const stuckAfter = 2 * time.Minute

// Metrics tells those of the station in the form of Prometheus.
func (s *Station) Metrics() http.Handler {
	registry := prometheus.NewRegistry()
	registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}), collector{s})
	return promhttp.HandlerFor(registry, promhttp.HandlerOpts{})
}

// collector tells metrics.
type collector struct{ *Station }

func described(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("ionoscribe_"+name, help, labels, nil)
}

var (
	descConnected  = described("receiver_connected", "1: the receiver's source is open.", "receiver")
	descLevel      = described("receiver_level_db", "RMS level of the last second over full scale.", "receiver")
	descClipped    = described("receiver_clipped_ratio", "Share of the samples of the last second at full scale.", "receiver")
	descSamples    = described("receiver_samples", "Samples of the present connection.", "receiver")
	descLost       = described("receiver_lost_samples", "Samples of the present connection that were lost; silence stands for them.", "receiver")
	descClock      = described("receiver_clock_error_ppm", "By how much the source's clock is fast, estimated.", "receiver")
	descMoved      = described("receiver_last_samples_timestamp_seconds", "When samples came last.", "receiver")
	descCopies     = described("receiver_copies", "Transmissions that are being copied.", "receiver")
	descSound      = described("receiver_sound_bytes", "Sound that is kept.", "receiver")
	descSoundLost  = described("receiver_sound_dropped_samples", "Samples that the disk was too slow to keep.", "receiver")
	descRows       = described("archive_pending_rows", "Rows that are not written yet.")
	descLostRows   = described("archive_lost_rows_total", "Rows that were given up.")
	descCommits    = described("archive_commits_total", "Commits since the start.")
	descBytes      = described("archive_bytes", "Size of the database.")
	descCharts     = described("charts_waiting", "Charts that wait to be saved.")
	descLostCharts = described("charts_lost_total", "Charts that were given up.")
	descLag        = described("receiver_lag_seconds", "By how much the samples that were copied last are behind the clock.", "receiver")
	descFree       = described("disk_free_bytes", "Free space of the station's folder.")
)

// Describe tells nothing beforehand: receivers come and go.
func (c collector) Describe(chan<- *prometheus.Desc) {}

// Collect tells all metrics.
func (c collector) Collect(ch chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		ch <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	count := func(d *prometheus.Desc, v float64) {
		ch <- prometheus.MustNewConstMetric(d, prometheus.CounterValue, v)
	}
	for _, r := range c.Status() {
		connected := 0.0
		if r.Connected {
			connected = 1
		}
		gauge(descConnected, connected, r.Name)
		gauge(descSamples, float64(r.Samples), r.Name)
		gauge(descLost, float64(r.Lost), r.Name)
		gauge(descClock, r.ClockPPM, r.Name)
		gauge(descCopies, float64(r.Copying), r.Name)
		if !r.HeardTo.IsZero() && r.Connected {
			gauge(descLag, c.options.Now().Sub(r.HeardTo).Seconds(), r.Name)
		}
		gauge(descMoved, float64(r.Moved.UnixMilli())/1000, r.Name)
		if l := r.Level; l != nil {
			gauge(descLevel, l.RMS, r.Name)
			gauge(descClipped, l.Clipped, r.Name)
		}
	}
	for name, ring := range c.rings() {
		st := ring.Stats()
		gauge(descSound, float64(st.Bytes), name)
		gauge(descSoundLost, float64(st.Dropped), name)
	}
	a := c.archive.Stats()
	gauge(descRows, float64(a.PendingRows))
	count(descLostRows, float64(a.LostRows))
	count(descCommits, float64(a.Commits))
	gauge(descBytes, float64(a.Bytes))
	waiting, lost := c.saver.queue()
	gauge(descCharts, float64(waiting))
	count(descLostCharts, float64(lost))
	if free, _, err := freeBytes(c.dir); err == nil {
		gauge(descFree, float64(free))
	}
}
