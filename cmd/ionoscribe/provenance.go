package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"ionoscribe/audio"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/filing"
)

// knownFrom says in words how a time or a frequency is known.
var knownFrom = map[string]string{
	audio.FromBext:     "from its bext chunk",
	audio.FromTags:     "from its tags",
	audio.FromSigMF:    "from its SigMF metadata",
	audio.FromName:     "from its name",
	audio.FromFile:     "from the file's date",
	audio.FromFileOnly: "from the file's date, but that is of its end and its length is not known",
}

// provenance is a line on what is known of a recording and from where; "" if all was ordered, or it is live.
func provenance(s source) string {
	var parts []string
	if from, ok := knownFrom[s.StartFrom()]; ok {
		line := "began " + s.Time(0).UTC().Format(filing.TimeForm) + ", " + from
		if s.StartFrom() == audio.FromFile || s.StartFrom() == audio.FromFileOnly {
			line += " (--start orders another)"
		}
		parts = append(parts, line)
	}
	if from, ok := knownFrom[s.DialFrom()]; ok && s.Dial() != 0 {
		parts = append(parts, "dial "+strconv.FormatFloat(s.Dial()/1000, 'f', -1, 64)+" kHz, "+from)
	}
	return strings.Join(parts, "; ")
}

// noteSource tells of a source what the user may want to know before anything else.
func noteSource(w io.Writer, path string, o opening, s source) {
	if w == nil {
		return
	}
	if line := provenance(s); line != "" {
		fmt.Fprintf(w, "ionoscribe: %s: %s\n", fault.OneLine(path), line)
	}
	a, ok := s.(*audio.Source)
	if ok && path != "-" && a.Length() >= 0 && a.Channels() == 2 && o.asIs && audio.LooksIQ(path, o.Options) {
		fmt.Fprintf(w, "ionoscribe: %s: its two channels look like I and Q of a band; --iq normal receives them as that\n", fault.OneLine(path))
	}
}

// settled puts into o what the source tells of itself: that it is complex samples.
func (o opening) settled(path string) (opening, error) {
	if o.IQ == "" && audio.Complex(path, o.Options) {
		o.IQ = audio.IQNormal
		if o.asIs {
			o.Channel = ""
		}
	}
	if o.tune.set && o.IQ == "" {
		return o, usageError{errors.New("--tune goes with --iq; audio has been tuned already")}
	}
	return o, nil
}

// noteWaiting tells what a live source waits for.
func noteWaiting(w io.Writer, path string) {
	what := ""
	switch {
	case strings.HasPrefix(path, "rtp://"):
		what = "RTP packets to come to this address"
	case strings.HasPrefix(path, "tcp://"):
		what = "the sender to answer and to send"
	case strings.HasPrefix(path, "device:"):
		what = "sound"
	}
	if w != nil && what != "" {
		fmt.Fprintf(w, "ionoscribe: %s: waiting for %s; Ctrl-C ends it\n", fault.OneLine(path), what)
	}
}
