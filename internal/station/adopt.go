package station

import (
	"context"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/modes"
)

// adopt saves the charts that were coming in, or being drawn, when an earlier run ended, and tells the archive. It takes a minute for
// a chart with an echo, and the receivers are heard meanwhile.
func (s *Station) adopt(charts *filing.Charts) error {
	return charts.Adopt(nil, func(a chartfile.Adopted) {
		id, title := s.transmissionOf(a)
		row := archive.Chart{Transmission: id, Title: title.Title, Entry: title.Entry, Picture: a.Picture, Video: a.Video, Info: a.Info, Image: a.Image}
		if o, ok := s.diary.match(a.Start, a.Origin.Source, a.Hz, chartModes()[0]); ok { // which the earlier run did not come to tell
			row.Title, row.Entry = o.Entry.Title, o.Entry.ID
			x := expected(o, a.Origin.Source, outcomeOf(a.Quality.Mean()))
			x.Transmission, x.Quality = id, a.Quality.Mean()
			s.archive.Expect(x)
		}
		s.archive.Chart(id, row)
		s.log.Info("chart of an earlier run", "receiver", a.Source, "transmission", id, "picture", a.Picture)
	})
}

// transmissionOf is that in the archive of which a chart is, or another one, if there is none.
func (s *Station) transmissionOf(a chartfile.Adopted) (archive.ID, archive.Transmission) {
	const near = time.Minute // the survey's times and the decoder's
	hits, err := s.archive.Search(context.Background(), archive.Query{Receivers: []string{a.Origin.Source}, Modes: chartModes(), From: a.Start.Add(-near), To: a.End.Add(near), Limit: 1})
	if err == nil && len(hits) > 0 {
		return hits[0].ID, hits[0].Transmission
	}
	t := archive.Transmission{Receiver: a.Origin.Source, Source: a.Origin.Source, Mode: chartModes()[0], Begun: a.Start, Ended: a.End, TimeFrom: a.TimeFrom, SNR: a.SNR,
		OnAir: a.Hz != 0, Hz: a.Hz, LowHz: a.Hz, HighHz: a.Hz, Copied: true}
	id := s.archive.Begin(t)
	s.archive.End(id, a.End)
	return id, t
}

// chartModes are the names of the modes that draw charts.
func chartModes() (names []string) {
	for _, m := range modes.All {
		if m.Text == nil {
			names = append(names, m.Name)
		}
	}
	return names
}
