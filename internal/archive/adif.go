package archive

import (
	"bufio"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
)

// adifExporter writes the stations that were heard as ADIF (Amateur Data Interchange Format, version 3.1.4, its text form ADI;
// names of fields, modes and bands from memory): a record for each call sign that is told behind "DE" in a transmission,
// which is "from" (ITU-R M.1172). SWL says that they were heard and not worked.
type adifExporter struct {
	w     *bufio.Writer
	begun bool
}

func (e *adifExporter) header() {
	if !e.begun {
		e.begun = true
		e.w.WriteString("Stations heard\n")
		e.field("ADIF_VER", "3.1.4")
		e.field("PROGRAMID", "Ionoscribe")
		e.w.WriteString("<EOH>\n")
	}
}

func (e *adifExporter) end() error {
	e.header()
	return nil
}

// field writes a field, whose text has the characters of ASCII that can be printed, and no others: all that ADI allows.
func (e *adifExporter) field(name, text string) {
	text = strings.Map(func(r rune) rune {
		if r >= utf8.RuneSelf || r < ' ' || r == 0x7f {
			return '?'
		}
		return r
	}, text)
	if text != "" {
		fmt.Fprintf(e.w, "<%s:%d>%s", name, len(text), text)
	}
}

func (e *adifExporter) record(r *Record) error {
	e.header()
	m := mode.Find(modes.All, r.Mode)
	if m == nil || m.ADIF == "" || !r.OnAir {
		return nil // a log has a mode and a frequency
	}
	for _, h := range callsHeard(r.Text) {
		e.field("CALL", h.call)
		e.field("QSO_DATE", h.first.UTC().Format("20060102"))
		e.field("TIME_ON", h.first.UTC().Format("150405"))
		e.field("QSO_DATE_OFF", h.last.UTC().Format("20060102"))
		e.field("TIME_OFF", h.last.UTC().Format("150405"))
		e.field("BAND", adifBand(r.Hz))
		e.field("FREQ", fmt.Sprintf("%.6f", r.Hz/1e6))
		e.field("MODE", m.ADIF)
		e.field("SWL", "Y")
		e.field("COMMENT", fmt.Sprintf("SNR %.1f dB in 2500 Hz, %s", r.SNR, h.text))
		e.w.WriteString("<EOR>\n")
	}
	return nil
}

// adifBand is the amateur band of a frequency as ADIF has them, or "".
func adifBand(hz float64) string {
	for _, b := range []struct {
		name      string
		low, high float64 // MHz
	}{{"2190m", .1357, .1378}, {"630m", .472, .479}, {"160m", 1.8, 2}, {"80m", 3.5, 4}, {"60m", 5.06, 5.45}, {"40m", 7, 7.3}, {"30m", 10.1, 10.15},
		{"20m", 14, 14.35}, {"17m", 18.068, 18.168}, {"15m", 21, 21.45}, {"12m", 24.89, 24.99}, {"10m", 28, 29.7}} {
		if hz >= b.low*1e6 && hz <= b.high*1e6 {
			return b.name
		}
	}
	return ""
}

// heardCall is a station that was heard.
type heardCall struct {
	call        string
	first, last time.Time
	text        string // the line in which it was first
}

// callsHeard are the call signs behind "DE" in some lines, in order. One is taken only where all its characters were printed
// with more confidence than [Doubt].
func callsHeard(lines []Line) (all []heardCall) {
	for _, l := range lines {
		after := false
		for _, w := range wordsOf(l) {
			switch {
			case w.text == "DE":
				after = true
				continue
			case after && w.sure && isCall(w.text):
				i := slices.IndexFunc(all, func(h heardCall) bool { return h.call == w.text })
				if i < 0 {
					all = append(all, heardCall{w.text, w.at, w.at, l.Text})
				} else {
					all[i].last = w.at
				}
				continue // it may be told more than once
			}
			after = false
		}
	}
	return all
}

// printed is a word of a line.
type printed struct {
	text string
	at   time.Time
	sure bool
}

func wordsOf(l Line) (all []printed) {
	w := printed{sure: true}
	end := func() {
		if w.text != "" {
			all = append(all, w)
		}
		w = printed{sure: true}
	}
	for _, c := range l.Chars {
		if strings.TrimSpace(c.Text) == "" {
			end()
			continue
		}
		if w.text == "" {
			w.at = c.At
		}
		w.text += strings.ToUpper(c.Text)
		w.sure = w.sure && c.Confidence >= Doubt
	}
	end()
	return all
}

// callForms are how call signs are formed (Radio Regulations, Article 19, section III, from memory): of amateurs a prefix, a figure,
// and up to four characters of which the last is a letter; of ships and of stations on land two characters, one or two
// letters, and figures, or without any. Of the last those alone are taken that have a figure: others cannot be told from words.
var callForms = regexp.MustCompile(`^(?:(?:[BFGIKMNRW]|[A-Z][A-Z0-9]|[0-9][A-Z])[0-9][A-Z0-9]{0,3}[A-Z]` +
	`|(?:[A-Z][A-Z0-9]|[0-9][A-Z])[A-Z]{1,2}[0-9]{1,4}|(?:[A-Z][0-9]|[0-9][A-Z])[A-Z]{2})$`)

// isCall says whether a word is formed as a call sign, or one with another country's or a moving station's part before or behind a
// stroke.
func isCall(s string) bool {
	parts := strings.Split(s, "/")
	is := false
	for _, p := range parts {
		if p == "" || strings.Trim(p, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") != "" {
			return false
		}
		is = is || callForms.MatchString(p)
	}
	return is && len(parts) <= 3
}
