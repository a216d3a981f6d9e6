package alerts

import (
	"context"
	"fmt"
	"net"
	"net/mail"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

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
	SecretFile string `toml:"secret_file,omitempty"` // has the key of the signature; empty: nothing is signed
}

// Mail is mailboxes and the server by which they are reached.
type Mail struct {
	Server       string   `toml:"server"`        // host:port
	TLS          string   `toml:"tls,omitempty"` // starttls, which is usual; tls from the first byte; none
	User         string   `toml:"user,omitempty"`
	PasswordFile string   `toml:"password_file,omitempty"`
	From         string   `toml:"from"`
	To           []string `toml:"to"`
}

// MQTT is a topic of a broker that speaks MQTT 5.
type MQTT struct {
	Broker       string `toml:"broker"` // mqtt://host:1883, or mqtts://host:8883 with TLS
	Topic        string `toml:"topic"`
	User         string `toml:"user,omitempty"`
	PasswordFile string `toml:"password_file,omitempty"`
	ClientID     string `toml:"client_id,omitempty"` // empty: the broker gives one
}

// What Mail.TLS may be.
const (
	startTLS = "starttls"
	fullTLS  = "tls"
	noTLS    = "none"
)

const (
	usualTimeout  = 30 * time.Second
	longestReply  = 500 // bytes that are kept of what the other side answered
	longestSecret = 64 << 10
)

// Check gives what is wrong with a way out. It opens nothing.
func (w *WayConfig) Check() []Fault {
	var faults []Fault
	fault := func(key, mend, message string, args ...any) {
		faults = append(faults, Fault{key, fmt.Sprintf(message, args...), mend})
	}
	if w.Name == "" {
		fault("name", "give it one", "a way out has no name")
	}
	if w.Timeout < 0 {
		fault("timeout", "write it like \"30s\"", "the timeout is negative")
	}
	switch k := w.kinds(); {
	case len(k) == 0:
		fault("", "add one of "+strings.Join(kindKeys, ", "), "the way out does not say how")
	case len(k) > 1:
		fault(k[1], "make a way out of each", "the way out has more than one kind: %s", strings.Join(k, ", "))
	}
	if len(w.Command) > 0 && w.Command[0] == "" {
		fault("command", "name a program", "the command has no program")
	}
	if h := w.Webhook; h != nil {
		if u, err := url.Parse(h.URL); err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
			fault("webhook.url", "write it like \"https://host/path\"", "%q is no address of a webhook", h.URL)
		}
	}
	if m := w.Mail; m != nil {
		if !isHostPort(m.Server) {
			fault("mail.server", "write it like \"host:587\"", "%q is no address of a mail server", m.Server)
		}
		if !slices.Contains([]string{"", startTLS, fullTLS, noTLS}, m.TLS) {
			fault("mail.tls", "there are "+listed([]string{startTLS, fullTLS, noTLS}), "%q is unknown", m.TLS)
		}
		if len(m.To) == 0 {
			fault("mail.to", "name a mailbox", "nobody gets the mail")
		}
		for i, a := range append([]string{m.From}, m.To...) {
			if _, err := mail.ParseAddress(a); err != nil {
				fault([]string{"mail.from", "mail.to"}[min(i, 1)], "write it like \"name@host\"", "%q is no mailbox", a)
			}
		}
		if (m.User == "") != (m.PasswordFile == "") {
			fault("mail", "give both user and password_file, or neither", "a user needs a password, and a password a user")
		}
	}
	if m := w.MQTT; m != nil {
		if u, err := url.Parse(m.Broker); err != nil || !isHostPort(u.Host) || u.Scheme != "mqtt" && u.Scheme != "mqtts" {
			fault("mqtt.broker", "write it like \"mqtt://host:1883\" or \"mqtts://host:8883\"", "%q is no address of a broker", m.Broker)
		}
		if m.Topic == "" || strings.ContainsAny(m.Topic, "#+\x00") { // MQTT 5.0, clauses 3.3.2.1 and 4.7.3
			fault("mqtt.topic", "write it like \"station/alerts\"", "%q is no topic to publish to", m.Topic)
		}
		if m.PasswordFile != "" && m.User == "" {
			fault("mqtt.user", "give both user and password_file, or neither", "a password needs a user")
		}
	}
	return faults
}

var kindKeys = []string{"command", "webhook", "mail", "mqtt", "desktop"}

// Kind is how it reaches the operator, in one word of the configuration; "" if it does not say.
func (w *WayConfig) Kind() string { return strings.Join(w.kinds(), ", ") }

func (w *WayConfig) kinds() []string {
	has := []bool{len(w.Command) > 0, w.Webhook != nil, w.Mail != nil, w.MQTT != nil, w.Desktop}
	var keys []string
	for i, key := range kindKeys {
		if has[i] {
			keys = append(keys, key)
		}
	}
	return keys
}

func isHostPort(s string) bool {
	host, port, err := net.SplitHostPort(s)
	return err == nil && host != "" && port != ""
}

// Open makes the way out, of a configuration that passed Check. Names of files count from the folder. It reads secrets and
// connects nowhere.
func (w *WayConfig) Open(folder string) (Way, error) {
	way, err := w.open(folder)
	if err != nil {
		return nil, fmt.Errorf("way out %s: %w", w.Name, err)
	}
	timeout := time.Duration(w.Timeout)
	if timeout == 0 {
		timeout = usualTimeout
	}
	return timed{way, timeout}, nil
}

func (w *WayConfig) open(folder string) (Way, error) {
	switch {
	case len(w.Command) > 0:
		return command{arguments: w.Command, folder: folder}, nil
	case w.Desktop:
		return desktop(folder), nil
	case w.Webhook != nil:
		secret, err := readSecret(folder, w.Webhook.SecretFile)
		return newWebhook(w.Webhook.URL, secret), err
	case w.Mail != nil:
		password, err := readSecret(folder, w.Mail.PasswordFile)
		return mailer{Mail: *w.Mail, password: string(password)}, err
	case w.MQTT != nil:
		password, err := readSecret(folder, w.MQTT.PasswordFile)
		return publisher{MQTT: *w.MQTT, password: password}, err
	}
	return nil, fmt.Errorf("it does not say how; add one of %s", strings.Join(kindKeys, ", "))
}

// readSecret reads a file that has a secret and perhaps a line's end; no name is no secret.
func readSecret(folder, name string) ([]byte, error) {
	if name == "" {
		return nil, nil
	}
	if !filepath.IsAbs(name) {
		name = filepath.Join(folder, name)
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, fmt.Errorf("the secret cannot be read: %w; write it into that file", err)
	}
	if info.Size() > longestSecret || !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no file with a secret; write one line into it", name)
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("the secret cannot be read: %w; let the station's user read that file", err)
	}
	secret := strings.TrimRight(string(b), "\r\n")
	if secret == "" {
		return nil, fmt.Errorf("%s is empty; write the secret into it", name)
	}
	return []byte(secret), nil
}

// timed is a way out with a limit.
type timed struct {
	Way
	limit time.Duration
}

func (t timed) Send(ctx context.Context, m Message) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, t.limit)
	defer cancel()
	reply, err := t.Way.Send(ctx, m)
	if err != nil && ctx.Err() == context.DeadlineExceeded {
		err = wrap(err, fmt.Errorf("no answer in %v: %w", t.limit, err))
	}
	return reply, err
}
