package station

import (
	"context"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/modes"
)

// adopt saves the charts that were coming in when an earlier run was killed, and tells the archive.
func (s *Station) adopt(charts *filing.Charts) error {
	return charts.Adopt(nil, func(a chartfile.Adopted) {
		id, title := s.transmissionOf(a)
		s.archive.Chart(id, archive.Chart{Transmission: id, Title: title.Title, Entry: title.Entry, Picture: a.Picture, Video: a.Video, Info: a.Info, Image: a.Image})
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
