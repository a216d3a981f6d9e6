package station

import (
	"cmp"
	"slices"
)

// Status is that of all receivers, by name.
func (s *Station) Status() (all []Status) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, w := range s.watches {
		st := w.statusNow()
		st.HeardTo = w.heardTo
		all = append(all, st)
	}
	slices.SortFunc(all, func(a, b Status) int { return cmp.Compare(a.Name, b.Name) })
	return all
}
