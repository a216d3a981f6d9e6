package live

import "ionoscribe/internal/station"

// tap takes samples of a receiver, in its goroutine. It does nothing unless somebody wants to hear or see them.
func (h *Hub) tap(receiver string, in *station.Input, at int64, b station.Block) {
	h.sounds.take(receiver, in, b)
	if wanted := h.wanted.Load(); wanted == nil || !(*wanted)[receiver] {
		return
	}
	s := h.spectrumOf(receiver, in)
	s.refill(h.running())
	s.add(b, func(row uint32, n int, power []float64) {
		h.tellRow(receiver, spectrumRow(row, in.Time(at+int64(n)), power))
	})
}

// spectrumOf is that of a receiver, made anew for each input.
func (h *Hub) spectrumOf(receiver string, in *station.Input) *spectrum {
	h.tapMutex.Lock()
	defer h.tapMutex.Unlock()
	s := h.spectra[receiver]
	if s == nil || h.inputs[receiver] != in {
		s = newSpectrum(tuningOf(in))
		h.spectra[receiver], h.inputs[receiver] = s, in
	}
	return s
}

// tellRow queues a row for those who want it.
func (h *Hub) tellRow(receiver string, data []byte) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	data[1] = byte(h.numberOf(receiver))
	for c := range h.clients {
		c.spectrumRow(receiver, data)
	}
}
