package live

import (
	"ionoscribe/internal/station"
)

// receiversOf describes receivers; the mutex is held.
func (h *Hub) receiversOf(status []station.Status) []Receiver {
	all := []Receiver{}
	for _, s := range status {
		l := layoutOf(tuningNow(&s))
		all = append(all, Receiver{
			Number: h.numberOf(s.Name), Name: s.Name, Source: s.Source, Connected: s.Connected, Ended: s.Ended, Since: stamp(s.Since), Error: s.Error, Tries: s.Tries,
			Rate: s.Rate, IQ: s.IQ, OnAir: s.DialHz != 0, DialHz: s.DialHz, DialFrom: s.DialFrom, LowHz: l.lowHz, HighHz: l.highHz,
			Copying: s.Copying, Samples: s.Samples, Lost: s.Lost, ClockPPM: s.ClockPPM, HeardTo: stamp(s.HeardTo), Level: s.Level,
		})
	}
	return all
}

// numberOf is the number of a receiver in rows, which it keeps; the mutex is held.
func (h *Hub) numberOf(name string) int {
	n, ok := h.numbers[name]
	if !ok {
		n = len(h.numbers)
		h.numbers[name] = n
	}
	return n
}

// tellReceivers tells levels, and of receivers that came, went or were tuned.
func (h *Hub) tellReceivers(status []station.Status) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	levels := map[string]*station.Level{}
	all := h.receiversOf(status)
	for _, r := range all {
		if r.Connected {
			levels[r.Name] = r.Level
		}
	}
	if text := steady(all); text != h.reported {
		h.reported = text
		h.tell(func(number int64) any {
			return struct {
				head
				Receivers []Receiver `json:"receivers"`
			}{head{"receivers", number}, all}
		})
	}
	m := encode(struct {
		What   string                    `json:"what"`
		Levels map[string]*station.Level `json:"levels"`
	}{"levels", levels})
	for c := range h.clients {
		c.levelsNow(m)
	}
}

// steady is what of receivers does not change all the time.
func steady(all []Receiver) string {
	some := make([]Receiver, len(all))
	for i, r := range all {
		r.Samples, r.ClockPPM, r.HeardTo, r.Level, r.Copying, r.Lost, r.Tries = 0, 0, "", nil, 0, 0, 0
		some[i] = r
	}
	return string(encode(some))
}
