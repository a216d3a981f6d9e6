package stationfile

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"ionoscribe/audio"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/modes"
	"ionoscribe/internal/nearest"
	"ionoscribe/internal/programme"
	"ionoscribe/internal/quantity"
)

// usualTuneTimeout is time for a receiver that is reached through a network (common practice).
const usualTuneTimeout = 10 * time.Second

// mostName is how long a receiver's name may be, so that names of files with it stay short.
const mostName = 40

func modeNames() (names []string) {
	for _, m := range modes.All {
		names = append(names, m.Name)
	}
	return names
}

func readReceivers(root *table, place string, sound Limit, checks []func(Receiver) error) (all []Receiver) {
	for _, t := range root.tables("receiver") {
		before := len(t.problems)
		r := t.receiver(place, sound)
		for _, other := range all {
			if strings.EqualFold(other.Name, r.Name) && r.Name != "" { // they are names of folders
				t.wrong(t.at("name"), "give one of them another name", "there is a receiver %s already", other.Name)
			}
		}
		if len(t.problems) == before {
			for _, check := range checks {
				if err := check(r); err != nil {
					message, mend, _ := strings.Cut(fault.OneLine(err.Error()), "; ")
					t.wrong(t.at("source"), mend, "%s", message)
				}
			}
		}
		all = append(all, r)
	}
	if len(all) == 0 && len(root.problems) == 0 {
		root.wrongKey("", `add [[receiver]] with name and source`, "the station has no receiver")
	}
	return all
}

func (t *table) receiver(place string, sound Limit) Receiver {
	r := Receiver{
		Name: t.text("name"), Source: t.text("source"), DialHz: t.frequency("dial"),
		Sideband: t.oneOf("sideband", "upper", "upper", "lower"), IQ: t.oneOf("iq", "", audio.IQNormal, audio.IQSwapped, audio.IQMirrored),
		Channel: t.channel(), Place: fault.OneLine(t.text("place")), Modes: t.modes(), Hours: t.hours(), Tune: t.tune(),
	}
	own := t.soundLimit(sound)
	r.Sound, r.SoundBytes = own.Age, own.Bytes
	if r.Place == "" {
		r.Place = place
	}
	whole := t.onlyKnown() // or else a key that is misspelt is not missed too
	switch {
	case r.Name == "" && whole:
		t.wrong(t.at("name"), `write such as name = "north"`, "a receiver has no name")
	case r.Name == "":
	case !isName(r.Name):
		t.wrong(t.at("name"), "use letters, digits, - . and _, not more than "+strconv.Itoa(mostName), "the name %q cannot be that of a folder", r.Name)
	}
	if r.Source == "" && whole {
		t.wrong(t.at("source"), `write such as source = "device:default"`, "a receiver has no source")
	}
	return r
}

// isName says that a receiver may be called so, since folders are.
func isName(s string) bool {
	return len(s) <= mostName && strings.Trim(s, ".") != "" && !strings.ContainsFunc(s, func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsDigit(c) && !strings.ContainsRune("-._", c)
	})
}

// receiverNames are those of all receivers; nil if one of them has none, so that nothing can be held against them.
func receiverNames(all []Receiver) []string {
	names := []string{}
	for _, r := range all {
		if !isName(r.Name) {
			return nil
		}
		names = append(names, r.Name)
	}
	return names
}

func (t *table) frequency(key string) float64 {
	text := t.text(key)
	if text == "" {
		return 0
	}
	hz, err := quantity.HzWithUnit(text)
	if err != nil {
		t.wrong(t.at(key), "write such as 7878.1 kHz", "%s %q %v", key, text, err)
	}
	return hz
}

// oneOf is a text of some; usual if there is none.
func (t *table) oneOf(key, usual string, may ...string) string {
	text := t.text(key)
	if text == "" {
		return usual
	}
	if !slices.Contains(may, text) {
		t.wrong(t.at(key), "there are: "+strings.Join(may, ", "), "%s %q is not known", key, text)
	}
	return text
}

func (t *table) channel() string {
	text := t.text("channel")
	switch text {
	case "":
		return "left"
	case "left", "right", "mix":
	default:
		if n, err := strconv.Atoi(text); err != nil || n < 1 {
			t.wrong(t.at("channel"), "there are: left, right, mix, and numbers from 1 on", "channel %q is not known", text)
		}
	}
	return text
}

// modes are those to copy; nil: all.
func (t *table) modes() (names []string) {
	all := modeNames()
	words := t.texts("copy")
	if len(words) == 1 && words[0] == "all" {
		return nil
	}
	for i, name := range words {
		if !slices.Contains(all, name) {
			mend := nearest.DidYouMean(name, all)
			if mend == "" {
				mend = "there are: all, " + strings.Join(all, ", ")
			}
			t.wrong(t.where("copy", i), mend, "%q is not a mode", name)
			continue
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if words != nil && len(words) == 0 {
		t.wrong(t.at("copy"), "leave it out to copy all", "nothing is to be copied")
	}
	return names
}

func (t *table) hours() (all []Hours) {
	for i, text := range t.texts("hours") {
		from, to, ok := strings.Cut(text, "-")
		a, errA := programme.ParseClock(strings.TrimSpace(from))
		b, errB := programme.ParseClock(strings.TrimSpace(strings.Replace(to, "24:00", "00:00", 1)))
		if !ok || errA != nil || errB != nil {
			t.wrong(t.where("hours", i), "write such as 18:00-06:30, in UTC", "hours %q are not a part of the day", text)
			continue
		}
		all = append(all, Hours{a, b})
	}
	return all
}

var placeholder = regexp.MustCompile(`\{[^{}]*\}`)

func (t *table) tune() *Tune {
	s := t.table("tune")
	if s == nil {
		return nil
	}
	tune := &Tune{Command: s.texts("command"), Timeout: s.duration("timeout", usualTuneTimeout)}
	if len(tune.Command) == 0 || tune.Command[0] == "" {
		s.wrong(s.at("command"), `write such as command = ["set-dial", "{khz}"]`, "it is not said which command tunes the receiver")
	}
	for i, argument := range tune.Command {
		for _, p := range placeholder.FindAllString(argument, -1) {
			if !slices.Contains(Placeholders, p) {
				s.wrong(s.where("command", i), "there are: "+strings.Join(Placeholders, ", "), "%q stands for nothing", p)
			}
		}
	}
	s.onlyKnown()
	return tune
}
