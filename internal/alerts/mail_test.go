package alerts_test

import (
	"bufio"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"fmt"
	"io"
	"mime/quotedprintable"
	"net"
	"net/http/httptest"
	"net/mail"
	"strings"
	"sync"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

// mailServer speaks as much SMTP (RFC 5321, STARTTLS of RFC 3207, AUTH PLAIN of RFC 4954 and 4616) as a client needs.
type mailServer struct {
	listener net.Listener
	config   *tls.Config // of STARTTLS, or nil
	password string      // "": nobody logs in
	refuse   string      // verb that is answered with 451
	mute     bool        // nothing is answered

	mutex    sync.Mutex
	from     string
	to       []string
	letter   string
	secure   bool // when the letter came
	loggedIn bool
}

func (s *mailServer) serve() {
	for {
		c, err := s.listener.Accept()
		if err != nil {
			return
		}
		go s.session(c)
	}
}

func (s *mailServer) session(c net.Conn) {
	defer func() { c.Close() }()
	if s.mute {
		io.Copy(io.Discard, c)
		return
	}
	in := bufio.NewReader(c)
	_, secure := c.(*tls.Conn)
	say := func(line string) { fmt.Fprintf(c, "%s\r\n", line) }
	say("220 test ESMTP")
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		line = strings.TrimSpace(line)
		verb, rest, _ := strings.Cut(line, " ")
		if verb == s.refuse {
			say("451 not now")
			continue
		}
		s.mutex.Lock()
		switch strings.ToUpper(verb) {
		case "EHLO":
			say("250-test")
			if s.config != nil && !secure {
				say("250-STARTTLS")
			}
			if s.password != "" {
				say("250-AUTH PLAIN")
			}
			say("250 8BITMIME")
		case "STARTTLS":
			say("220 go on")
			c = tls.Server(c, s.config)
			in, secure = bufio.NewReader(c), true
		case "AUTH":
			sent, _ := base64.StdEncoding.DecodeString(strings.TrimPrefix(rest, "PLAIN "))
			if s.loggedIn = string(sent) == "\x00watch\x00"+s.password; s.loggedIn {
				say("235 welcome")
			} else {
				say("535 who are you")
			}
		case "MAIL":
			s.from = rest
			say("250 ok")
		case "RCPT":
			s.to = append(s.to, rest)
			say("250 ok")
		case "DATA":
			say("354 go on")
			var b strings.Builder
			for line := ""; line != ".\r\n"; {
				b.WriteString(strings.TrimPrefix(line, "."))
				if line, err = in.ReadString('\n'); err != nil {
					s.mutex.Unlock()
					return
				}
			}
			s.letter, s.secure = b.String(), secure
			if s.refuse == "." {
				say("554 no")
			} else {
				say("250 2.0.0 queued as 4711")
			}
		case "QUIT":
			say("221 bye")
			s.mutex.Unlock()
			return
		default:
			say("250 ok")
		}
		s.mutex.Unlock()
	}
}

func startMail(t *testing.T, s *mailServer, wrap *tls.Config) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	s.listener = l
	if wrap != nil {
		s.listener = tls.NewListener(l, wrap)
	}
	go s.serve()
	return l.Addr().String()
}

// certificate is one for 127.0.0.1, and the roots that trust it.
func certificate() (*tls.Config, *x509.CertPool) {
	server := httptest.NewTLSServer(nil)
	defer server.Close()
	roots := x509.NewCertPool()
	roots.AddCert(server.Certificate())
	return &tls.Config{Certificates: server.TLS.Certificates}, roots
}

func mailTo(server, tls string) alerts.Mail {
	return alerts.Mail{Server: server, TLS: tls, From: "Inselwacht <watch@example.org>", To: []string{"op@example.org", "second@example.org"}}
}

func TestMail(t *testing.T) {
	s := new(mailServer)
	m := mailTo(startMail(t, s, nil), "none")
	reply, err := send(t, open(t, alerts.WayConfig{Mail: &m}))
	if err != nil || !strings.Contains(reply, "queued as 4711") {
		t.Errorf("reply %q, %v", reply, err)
	}
	letter, err := mail.ReadMessage(strings.NewReader(s.letter))
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(quotedprintable.NewReader(letter.Body))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"Subject": "Inselwacht, gale: Words received on 4583.0 kHz (sent again)", "Auto-Submitted": "auto-generated", "To": "<op@example.org>, <second@example.org>",
		"From": `"Inselwacht" <watch@example.org>`,
	} {
		if got := letter.Header.Get(name); got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
	for _, want := range []string{"This is sent again", "2026-11-27 05:59:01 UTC", "GALE", "2 more of this rule", "ÄÖ"} {
		if !strings.Contains(string(body), want) {
			t.Errorf("no %q in the body:\n%s", want, body)
		}
	}
	if !strings.HasPrefix(s.from, "FROM:<watch@example.org>") || len(s.to) != 2 || s.to[1] != "TO:<second@example.org>" {
		t.Errorf("the envelope says %q, %q", s.from, s.to)
	}
}

// With TLS, from the first byte or later, a password is given; without it is not shown.
func TestMailTLS(t *testing.T) {
	config, roots := certificate()
	for _, how := range []string{"starttls", "", "tls"} {
		s := &mailServer{config: config, password: "geheim"}
		wrap := config
		if how != "tls" {
			wrap = nil
		}
		m := mailTo(startMail(t, s, wrap), how)
		m.User = "watch"
		if reply, err := send(t, alerts.NewMailer(m, "geheim", roots)); err != nil || !s.secure || !s.loggedIn {
			t.Errorf("%q: %q, %v, secure %t, logged in %t", how, reply, err, s.secure, s.loggedIn)
		}
		_, err := send(t, alerts.NewMailer(m, "falsch", roots))
		fails(t, how+" with a wrong password", err, "who are you", true)
		_, err = send(t, alerts.NewMailer(m, "geheim", nil))
		fails(t, how+" with a certificate of nobody", err, "certificate", true)
	}
	s := &mailServer{password: "geheim"}
	m := mailTo(startMail(t, s, nil), "none")
	m.User = "watch"
	_, err := send(t, alerts.NewMailer(m, "geheim", nil))
	fails(t, "a password without TLS", err, "", true)
	if s.loggedIn {
		t.Error("the password is shown")
	}
	m.TLS = "starttls"
	_, err = send(t, alerts.NewMailer(m, "geheim", nil))
	fails(t, "a server without TLS", err, "STARTTLS", true)
}

func TestMailFails(t *testing.T) {
	for _, c := range []struct {
		refuse, say string
		notSent     bool
	}{{"MAIL", "451", true}, {"RCPT", "451", true}, {"DATA", "451", true}, {".", "554", false}} {
		m := mailTo(startMail(t, &mailServer{refuse: c.refuse}, nil), "none")
		_, err := send(t, open(t, alerts.WayConfig{Mail: &m}))
		fails(t, "a server that refuses "+c.refuse, err, c.say, c.notSent)
	}
	// One that refuses what comes behind the letter has it.
	m := mailTo(startMail(t, &mailServer{refuse: "RSET"}, nil), "none")
	if _, err := send(t, open(t, alerts.WayConfig{Mail: &m})); err != nil {
		t.Errorf("a server that refuses RSET: %v", err)
	}
	m = mailTo(closedPort(t), "none")
	_, err := send(t, open(t, alerts.WayConfig{Mail: &m}))
	fails(t, "no server", err, "refused", true)

	// One that says nothing is left when the context is done.
	m = mailTo(startMail(t, &mailServer{mute: true}, nil), "none")
	way := open(t, alerts.WayConfig{Mail: &m})
	ctx, cancel := context.WithCancel(context.Background())
	time.AfterFunc(20*time.Millisecond, cancel)
	done := make(chan error)
	go func() { _, err := way.Send(ctx, message()); done <- err }()
	select {
	case err := <-done:
		fails(t, "a mute server", err, "", true)
	case <-time.After(10 * time.Second):
		t.Error("a mute server holds us")
	}
}
