package alerts

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"slices"
	"strconv"

	"github.com/wneessen/go-mail"

	"ionoscribe/internal/fault"
)

// mailer sends each message as a mail (RFC 5321, RFC 5322).
type mailer struct {
	Mail
	password string
	roots    *x509.CertPool // nil: the system's
}

// Send hands the message to the server. Its reply is the server's answer to it.
func (m mailer) Send(ctx context.Context, message Message) (string, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel() // closes the connection, whatever became of it
	letter, err := m.letter(message)
	if err != nil {
		return "", notSent{err}
	}
	client, err := m.client(func(dialing context.Context, network, address string) (net.Conn, error) {
		var c net.Conn
		var err error
		if m.TLS == fullTLS {
			c, err = (&tls.Dialer{Config: &tls.Config{RootCAs: m.roots}}).DialContext(dialing, network, address)
		} else {
			c, err = new(net.Dialer).DialContext(dialing, network, address)
		}
		if err == nil { // the library heeds a context only until it is connected
			context.AfterFunc(ctx, func() { c.Close() })
		}
		return c, err
	})
	if err != nil {
		return "", notSent{err}
	}
	session, err := client.DialToSMTPClientWithContext(ctx)
	if err != nil {
		return "", notSent{fmt.Errorf("the mail server %s does not let us in: %s", m.Server, fault.OneLine(err.Error()))}
	}
	err = client.SendWithSMTPClient(session, letter)
	if !letter.IsDelivered() {
		err = fmt.Errorf("the mail server %s did not take the mail: %s", m.Server, fault.OneLine(err.Error()))
		var refused *mail.SendError
		if errors.As(letter.SendError(), &refused) && slices.Contains(beforeData, refused.Reason) {
			err = notSent{err}
		}
		return "", err
	}
	client.CloseWithSMTPClient(session)
	return fault.OneLine(letter.ServerResponse()), nil
}

// beforeData are the reasons of failures before any of the mail was sent.
var beforeData = []mail.SendErrReason{
	mail.ErrConnCheck, mail.ErrGetSender, mail.ErrGetRcpts, mail.ErrSMTPMailFrom, mail.ErrSMTPRcptTo, mail.ErrSMTPData,
}

func (m mailer) letter(message Message) (*mail.Msg, error) {
	letter := mail.NewMsg(mail.WithNoDefaultUserAgent())
	if err := letter.From(m.From); err != nil {
		return nil, err
	}
	if err := letter.To(m.To...); err != nil {
		return nil, err
	}
	subject := message.Station + ", " + message.Rule + ": " + message.Summary
	if message.Repeated {
		subject += " (sent again)"
	}
	letter.Subject(subject)
	letter.SetDate()
	letter.SetMessageID()
	letter.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834: no reply of a machine is wanted
	letter.SetBodyString(mail.TypeTextPlain, message.words())
	return letter, nil
}

func (m mailer) client(dial mail.DialContextFunc) (*mail.Client, error) {
	host, portText, err := net.SplitHostPort(m.Server)
	if err != nil {
		return nil, err
	}
	port, err := strconv.Atoi(portText)
	if err != nil {
		return nil, err
	}
	options := []mail.Option{
		mail.WithPort(port), mail.WithDialContextFunc(dial), mail.WithTLSConfig(&tls.Config{ServerName: host, RootCAs: m.roots}),
	}
	switch m.TLS {
	case fullTLS:
		options = append(options, mail.WithSSL())
	case noTLS:
		options = append(options, mail.WithTLSPolicy(mail.NoTLS))
	default:
		options = append(options, mail.WithTLSPolicy(mail.TLSMandatory))
	}
	switch {
	case m.User == "":
	case m.TLS == noTLS: // a mechanism that does not show the password
		options = append(options, mail.WithSMTPAuth(mail.SMTPAuthAutoDiscover))
	default: // the library does not know that a connection that we made is encrypted, and would choose as without
		options = append(options, mail.WithOpportunisticSMTPAuth(
			mail.SMTPAuthSCRAMSHA256, mail.SMTPAuthSCRAMSHA1, mail.SMTPAuthPlain, mail.SMTPAuthLogin, mail.SMTPAuthCramMD5))
	}
	if m.User != "" {
		options = append(options, mail.WithUsername(m.User), mail.WithPassword(m.password))
	}
	return mail.NewClient(host, options...)
}
