package alertstest

import (
	"testing"

	"ionoscribe/internal/alerts"
)

func TestMemory(t *testing.T) {
	m := new(Memory)
	TestStore(t, func() alerts.Store { return m })
}
