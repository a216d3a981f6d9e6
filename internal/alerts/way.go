package alerts

import (
	"context"
	"errors"
)

// Way is a way out to the operator.
type Way interface {
	// Send sends a message and returns what the other side answered. It ends when ctx does. An error that is [ErrNotSent] says
	// that nothing can have arrived.
	Send(ctx context.Context, m Message) (reply string, err error)
}

// Message is an alert as it is sent.
type Message struct {
	Alert
	Repeated bool `json:"repeated"` // an earlier attempt may have arrived
}

// ErrNotSent is wrapped by the error of an attempt of which nothing can have arrived.
var ErrNotSent = errors.New("nothing was sent")

// WayConfig is a way out in the configuration. It has one of the kinds.
type WayConfig struct {
	Name    string   `toml:"name"`
	Timeout Duration `toml:"timeout,omitempty"` // of an attempt; zero: 30 s

	// Kinds.
	Command []string `toml:"command,omitempty"` // program and arguments, no shell; JSON on its input
	Webhook *Webhook `toml:"webhook,omitempty"`
	Mail    *Mail    `toml:"mail,omitempty"`
	MQTT    *MQTT    `toml:"mqtt,omitempty"`
	Desktop bool     `toml:"desktop,omitempty"` // a notification where there is a desktop
}

// Webhook is an address that gets JSON by HTTP POST.
type Webhook struct {
	URL        string `toml:"url"`
	SecretFile string `toml:"secret_file,omitempty"` // has the key of the signature; empty: none is sent
}

// Mail is a mailbox and the server by which it is reached.
type Mail struct {
	Server       string   `toml:"server"` // host:port
	TLS          string   `toml:"tls,omitempty"`
	User         string   `toml:"user,omitempty"`
	PasswordFile string   `toml:"password_file,omitempty"`
	From         string   `toml:"from"`
	To           []string `toml:"to"`
}

// MQTT is a topic of a broker.
type MQTT struct {
	Broker       string `toml:"broker"` // URL: mqtt://host:1883, mqtts://host:8883
	Topic        string `toml:"topic"`
	User         string `toml:"user,omitempty"`
	PasswordFile string `toml:"password_file,omitempty"`
	ClientID     string `toml:"client_id,omitempty"`
}

// Check gives what is wrong with a way out.
func (w *WayConfig) Check() []Fault { return nil }

// Open makes the way out. folder is that of the configuration, from which names of files count.
func (w *WayConfig) Open(folder string) (Way, error) { return nil, errors.New("not made yet") }
