package web

import (
	"net/http"
	"reflect"
	"slices"

	"ionoscribe/audio"
	"ionoscribe/internal/stationfile"
)

// permitted says whether the page may put a configuration in the place of the one that is in force. Whoever may change things may
// not thereby run commands, read files or let others in.
func permitted(now, next *stationfile.Config) error {
	switch {
	case !reflect.DeepEqual(now.Page, next.Page):
		return byHand("listen and [page]")
	case !reflect.DeepEqual(now.Ways, next.Ways):
		return byHand("a [[way]]")
	case !slices.Equal(now.ProgrammeFiles, next.ProgrammeFiles):
		return byHand("programme_files")
	}
	for _, r := range next.Receivers {
		i := slices.IndexFunc(now.Receivers, func(o stationfile.Receiver) bool { return o.Name == r.Name })
		var was stationfile.Receiver
		if i >= 0 {
			was = now.Receivers[i]
		}
		switch {
		case !reflect.DeepEqual(was.Tune, r.Tune):
			return byHand("the command that tunes a receiver")
		case was.Source != r.Source && !audio.IsLive(r.Source):
			return byHand("a source that is a file")
		}
	}
	return nil
}

func byHand(what string) error {
	return problemOf(http.StatusForbidden, "%s cannot be changed here; change it in station.toml itself", what)
}
