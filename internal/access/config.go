package access

import (
	"crypto/sha256"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"ionoscribe/internal/fault"
)

// Config says where requests are answered, and to whom.
type Config struct {
	Listen           string         // address and port, such as 127.0.0.1:8073; "": nowhere
	Hosts            []string       // names by which browsers call it, besides its address and those of this computer
	Certificate, Key string         // paths of PEM files; "": without TLS
	TrustedProxies   []netip.Prefix // whose X-Forwarded- headers are believed
	TrustedOrigins   []string       // by which browsers know the page, if a proxy changes its address: https://charts.example:8443
	Users            []User
	Tokens           []Token
}

// User comes in with a password.
type User struct {
	Name     string
	Role     Role
	Password string // its hash, see [MakePassword]
}

// Token lets a program in.
type Token struct {
	Name   string
	Role   Role
	SHA256 [sha256.Size]byte
}

// Local says that only this computer reaches the address.
func (c *Config) Local() bool {
	host, _, err := net.SplitHostPort(c.Listen)
	return err == nil && isLocal(host)
}

// Check says what makes the rules unsafe as a whole.
func (c *Config) Check() error {
	switch {
	case c.Listen != "" && !c.Local() && len(c.Users)+len(c.Tokens) == 0:
		return errors.New("other computers reach this address, and nobody is asked for a password; " +
			"add a [[page.user]] (ionoscribe watch --password NAME makes it), or listen at 127.0.0.1")
	case len(c.TrustedProxies) > 0 && len(c.Users)+len(c.Tokens) == 0:
		return errors.New("a proxy lets other computers in, and nobody is asked for a password; " +
			"add a [[page.user]] (ionoscribe watch --password NAME makes it)")
	case (c.Certificate == "") != (c.Key == ""):
		return errors.New("TLS needs both a certificate and its key; give both files or neither")
	}
	return nil
}

// isLocal says that a name or address is this computer's own.
func isLocal(host string) bool {
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.Unmap().IsLoopback()
}

// ParseProxy reads an address, or a network such as 10.0.0.0/8.
func ParseProxy(text string) (netip.Prefix, error) {
	if p, err := netip.ParsePrefix(text); err == nil {
		return p.Masked(), nil
	}
	ip, err := netip.ParseAddr(text)
	if err != nil || ip.Zone() != "" {
		return netip.Prefix{}, errors.New("is neither an address nor a network")
	}
	ip = ip.Unmap()
	return netip.PrefixFrom(ip, ip.BitLen()), nil
}

// CheckOrigin wants a scheme and a host, with a port if it is not the usual one.
func CheckOrigin(text string) error {
	u, err := url.Parse(text)
	if err != nil || u.User != nil || u.Scheme != "https" && u.Scheme != "http" {
		return errors.New("is no origin")
	}
	if new(http.CrossOriginProtection).AddTrustedOrigin(text) != nil {
		return errors.New("is no origin alone")
	}
	return nil
}

// CheckHost wants a name or an address, without a port.
func CheckHost(text string) error {
	u, err := url.Parse("http://" + text + "/")
	if err != nil || text == "" || u.Host != text || u.Port() != "" || strings.HasSuffix(text, ":") {
		return errors.New("is no name of a computer")
	}
	return nil
}

// mostName is how long a name may be, in bytes, so that a line of a page or a log has room for it.
const mostName = 40

// CheckName wants a name of a user or a program that can be shown.
func CheckName(name string) error {
	switch {
	case name == "":
		return errors.New("is empty; write such as mate")
	case len(name) > mostName || name != fault.OneLine(name):
		return errors.New("cannot be shown; write a shorter one in one line")
	}
	return nil
}
