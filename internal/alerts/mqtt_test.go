package alerts_test

import (
	"crypto/tls"
	"io"
	"log/slog"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	mqtt "github.com/mochi-mqtt/server/v2"
	"github.com/mochi-mqtt/server/v2/listeners"
	"github.com/mochi-mqtt/server/v2/packets"

	"ionoscribe/internal/alerts"
)

// doorman lets in the user watch with the password geheim, to topics of the station.
type doorman struct {
	mqtt.HookBase
	empty atomic.Bool
}

func (*doorman) ID() string { return "doorman" }
func (*doorman) Provides(b byte) bool {
	return b == mqtt.OnConnectAuthenticate || b == mqtt.OnACLCheck || b == mqtt.OnPacketEncode
}

// OnPacketEncode says that nobody has subscribed, while that is so, which the broker leaves out.
func (d *doorman) OnPacketEncode(_ *mqtt.Client, p packets.Packet) packets.Packet {
	if p.FixedHeader.Type == packets.Puback && d.empty.Load() {
		p.ReasonCode = packets.CodeNoMatchingSubscribers.Code
		p.Properties.User = []packets.UserProperty{{Key: "test", Val: "yes"}} // without properties the code is left out
	}
	return p
}

func (*doorman) OnConnectAuthenticate(_ *mqtt.Client, p packets.Packet) bool {
	return string(p.Connect.Username) == "watch" && string(p.Connect.Password) == "geheim"
}
func (*doorman) OnACLCheck(_ *mqtt.Client, topic string, _ bool) bool {
	return strings.HasPrefix(topic, "station/")
}

// broker is one on loopback.
func broker(t *testing.T, config *tls.Config) (*mqtt.Server, *doorman, string) {
	t.Helper()
	door := new(doorman)
	b := mqtt.New(&mqtt.Options{InlineClient: true, Logger: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err := b.AddHook(door, nil); err != nil {
		t.Fatal(err)
	}
	l := listeners.NewTCP(listeners.Config{ID: "test", Address: "127.0.0.1:0", TLSConfig: config})
	if err := b.AddListener(l); err != nil {
		t.Fatal(err)
	}
	if err := b.Serve(); err != nil {
		t.Fatal(err)
	}
	return b, door, l.Address()
}

func TestMQTT(t *testing.T) {
	b, door, address := broker(t, nil)
	way := func(topic, password string) alerts.Way {
		return open(t, alerts.WayConfig{MQTT: &alerts.MQTT{Broker: "mqtt://" + address, Topic: topic, User: "watch", PasswordFile: secretFile(t, password)},
			Timeout: alerts.Duration(5 * time.Second)})
	}
	door.empty.Store(true)
	reply, err := send(t, way("station/nobody", "geheim"))
	if err != nil || !strings.Contains(reply, "nobody has subscribed") {
		t.Errorf("without a subscriber: %q, %v", reply, err)
	}
	door.empty.Store(false)
	var mutex sync.Mutex
	var got []packets.Packet
	if err := b.Subscribe("station/alerts", 1, func(_ *mqtt.Client, _ packets.Subscription, p packets.Packet) {
		mutex.Lock()
		defer mutex.Unlock()
		got = append(got, p)
	}); err != nil {
		t.Fatal(err)
	}
	for range 2 { // one after the other, with connections of their own
		if reply, err := send(t, way("station/alerts", "geheim")); err != nil || !strings.Contains(reply, "acknowledged") {
			t.Errorf("reply %q, %v", reply, err)
		}
	}
	until(t, "the subscriber has both", func() bool { mutex.Lock(); defer mutex.Unlock(); return len(got) == 2 })
	for _, p := range got {
		isMessage(t, p.Payload)
		if p.TopicName != "station/alerts" || p.FixedHeader.Qos != 1 || p.Properties.ContentType != "application/json" || p.FixedHeader.Retain {
			t.Errorf("published: %s, %+v", p.TopicName, p.FixedHeader)
		}
	}
	_, err = send(t, way("station/alerts", "falsch"))
	fails(t, "a wrong password", err, "does not let us in", true)
	_, err = send(t, way("elsewhere", "geheim"))
	fails(t, "a topic that is forbidden", err, "did not take", false)
	b.Close()
	_, err = send(t, way("station/alerts", "geheim"))
	fails(t, "no broker", err, "is not reached", true)
}

func TestMQTTOverTLS(t *testing.T) {
	config, roots := certificate()
	b, _, address := broker(t, config)
	defer b.Close()
	m := alerts.MQTT{Broker: "mqtts://" + address, Topic: "station/alerts", User: "watch"}
	if reply, err := send(t, alerts.NewPublisher(m, []byte("geheim"), roots)); err != nil {
		t.Errorf("reply %q, %v", reply, err)
	}
	_, err := send(t, alerts.NewPublisher(m, []byte("geheim"), nil))
	fails(t, "a certificate of nobody", err, "certificate", true)
}

// A broker that answers nothing is left in time.
func TestMQTTMute(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go io.Copy(io.Discard, c)
		}
	}()
	_, err = send(t, open(t, alerts.WayConfig{MQTT: &alerts.MQTT{Broker: "mqtt://" + l.Addr().String(), Topic: "x"}, Timeout: alerts.Duration(50 * time.Millisecond)}))
	fails(t, "a mute broker", err, "no answer in 50ms", true)
}
