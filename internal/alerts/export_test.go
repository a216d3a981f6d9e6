package alerts

import (
	"crypto/x509"
	"time"
)

// FastTick makes Run look often, for a clock that tests put forward.
func (a *Alerter) FastTick() { a.tick = time.Millisecond }

// Texts is how many texts are followed.
func (a *Alerter) Texts() int {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	return len(a.texts)
}

const (
	MostTexts  = mostTexts
	MostQueued = mostQueued
)

// NewMailer makes a way out that trusts roots.
func NewMailer(m Mail, password string, roots *x509.CertPool) Way { return mailer{m, password, roots} }

// NewPublisher makes a way out that trusts roots.
func NewPublisher(m MQTT, password []byte, roots *x509.CertPool) Way {
	return publisher{m, password, roots}
}
