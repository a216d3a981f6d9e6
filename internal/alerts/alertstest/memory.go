// Package alertstest has a store of alerts in memory and the tests that every store must pass.
package alertstest

import (
	"maps"
	"slices"
	"sync"
	"time"

	"ionoscribe/internal/alerts"
)

// Memory is a store that forgets all when the program ends.
type Memory struct {
	mutex      sync.Mutex
	alerts     int64
	deliveries []alerts.Delivery
	held       map[string]alerts.Held
}

// Deliveries are all that there ever were, in order.
func (m *Memory) Deliveries() []alerts.Delivery {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return slices.Clone(m.deliveries)
}

func (m *Memory) Add(a alerts.Alert, ways []string) (int64, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.alerts++
	a.ID = m.alerts
	for _, w := range ways {
		m.deliveries = append(m.deliveries, alerts.Delivery{
			ID: int64(len(m.deliveries) + 1), Alert: a, Way: w, State: alerts.Pending, Due: a.Made, Changed: a.Made,
		})
	}
	m.hold(alerts.Held{Rule: a.Rule, Last: a.Made})
	return a.ID, nil
}

func (m *Memory) Hold(a alerts.Alert) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	h := m.held[a.Rule]
	h.Rule, h.Count, h.Latest = a.Rule, h.Count+1+a.HeldBack, a
	m.hold(h)
	return nil
}

func (m *Memory) hold(h alerts.Held) {
	if m.held == nil {
		m.held = map[string]alerts.Held{}
	}
	m.held[h.Rule] = h
}

func (m *Memory) Held() ([]alerts.Held, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	var all []alerts.Held
	for _, rule := range slices.Sorted(maps.Keys(m.held)) {
		all = append(all, m.held[rule])
	}
	return all, nil
}

func (m *Memory) Due(now time.Time) ([]alerts.Delivery, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	first := map[string]alerts.Delivery{}
	for _, d := range m.deliveries {
		if f, ok := first[d.Way]; d.State == alerts.Pending && (!d.Due.After(now) || d.Changed.After(now)) && (!ok || d.Due.Before(f.Due)) {
			first[d.Way] = d
		}
	}
	var all []alerts.Delivery
	for _, way := range slices.Sorted(maps.Keys(first)) {
		all = append(all, first[way])
	}
	return all, nil
}

func (m *Memory) Mark(d alerts.Delivery) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	d.Alert = m.deliveries[d.ID-1].Alert
	m.deliveries[d.ID-1] = d
	return nil
}
