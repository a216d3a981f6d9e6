package alerts

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"net"
	"net/url"

	"github.com/eclipse/paho.golang/packets"
	"github.com/eclipse/paho.golang/paho"
)

// publisher publishes each message on a connection of its own: alerts are rare.
type publisher struct {
	MQTT
	password []byte
	roots    *x509.CertPool // nil: the system's
}

// atLeastOnce is the quality of service with which the broker acknowledges (MQTT 5.0, clause 4.3.2).
const atLeastOnce = 1

// Send publishes the message as JSON and waits until the broker has acknowledged it.
func (p publisher) Send(ctx context.Context, m Message) (string, error) {
	payload, err := json.Marshal(m)
	if err != nil {
		return "", notSent{err}
	}
	connection, err := p.dial(ctx)
	if err != nil {
		return "", notSent{fmt.Errorf("the broker %s is not reached: %w", p.Broker, err)}
	}
	client := paho.NewClient(paho.ClientConfig{Conn: connection})
	defer connection.Close()
	receive := uint16(1) // nothing is subscribed to
	connect := &paho.Connect{
		ClientID: p.ClientID, CleanStart: true, KeepAlive: 60,
		UsernameFlag: p.User != "", Username: p.User, PasswordFlag: p.password != nil, Password: p.password,
		Properties: &paho.ConnectProperties{ReceiveMaximum: &receive, RequestProblemInfo: true}, // reasons in words
	}
	if answer, err := client.Connect(ctx, connect); err != nil {
		if answer != nil {
			err = fmt.Errorf("%w (reason code 0x%02X)", err, answer.ReasonCode)
		}
		return "", notSent{fmt.Errorf("the broker %s does not let us in: %w", p.Broker, err)}
	}
	answer, err := client.Publish(ctx, &paho.Publish{
		QoS: atLeastOnce, Topic: p.Topic, Payload: payload, Properties: &paho.PublishProperties{ContentType: "application/json"},
	})
	if err != nil {
		return "", fmt.Errorf("the broker %s did not take the message: %w", p.Broker, err)
	}
	client.Disconnect(&paho.Disconnect{}) // it has the message
	if answer.ReasonCode == packets.PubackNoMatchingSubscribers {
		return "acknowledged; nobody has subscribed to " + p.Topic, nil
	}
	return fmt.Sprintf("acknowledged, reason code 0x%02X", answer.ReasonCode), nil
}

func (p publisher) dial(ctx context.Context) (net.Conn, error) {
	u, err := url.Parse(p.Broker)
	if err != nil {
		return nil, err
	}
	if u.Scheme == "mqtts" {
		c, err := (&tls.Dialer{Config: &tls.Config{RootCAs: p.roots}}).DialContext(ctx, "tcp", u.Host)
		if err != nil {
			return nil, err
		}
		return packets.NewThreadSafeConn(c), nil
	}
	return new(net.Dialer).DialContext(ctx, "tcp", u.Host)
}
