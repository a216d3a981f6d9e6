package stationfile

import (
	"crypto/tls"
	"net"
	"net/netip"
	"path/filepath"
	"strings"

	"ionoscribe/internal/access"
	"ionoscribe/internal/fault"
)

// readPage reads listen, and [page]: who may look at the page, and from where.
func readPage(root *table, folder string) access.Config {
	c := access.Config{Listen: root.text("listen")}
	listens := root.checkListen(c.Listen)
	before := len(root.problems)
	if t := root.table("page"); t != nil {
		c.Hosts = t.each("hosts", "write a name such as station.example, without a port", access.CheckHost)
		c.TrustedOrigins = t.each("trusted_origins", "write such as https://charts.example", access.CheckOrigin)
		c.TrustedProxies = t.proxies()
		c.Certificate, c.Key = t.fileIn(folder, "certificate"), t.fileIn(folder, "key")
		c.Users, c.Tokens = t.users(), t.tokens()
		t.onlyKnown()
		t.checkCertificate(c)
	}
	if err := c.Check(); err != nil && listens && len(root.problems) == before {
		at := "listen"
		if c.Listen == "" || c.Local() {
			at = "page.trusted_proxies"
		}
		message, mend, _ := strings.Cut(err.Error(), "; ")
		root.wrong(at, mend, "%s", message)
	}
	return c
}

// checkListen wants an address and a port of this computer.
func (t *table) checkListen(listen string) (ok bool) {
	if listen == "" {
		return true
	}
	host, port, err := net.SplitHostPort(listen)
	_, notIP := netip.ParseAddr(host)
	if err != nil || notIP != nil && host != "localhost" || strings.Trim(port, "0123456789") != "" || port == "" {
		t.wrong("listen", "write it like 127.0.0.1:8073", "%q is not an address and a port", listen)
		return false
	}
	return true
}

// each is a list of texts of which none is wrong.
func (t *table) each(key, mend string, check func(string) error) []string {
	all := t.texts(key)
	for i, text := range all {
		if err := check(text); err != nil {
			t.wrong(t.where(key, i), mend, "%q %v", text, err)
		}
	}
	return all
}

func (t *table) proxies() (all []netip.Prefix) {
	t.each("trusted_proxies", "write such as 192.0.2.7 or 10.0.0.0/8", func(text string) error {
		p, err := access.ParseProxy(text)
		all = append(all, p)
		return err
	})
	return all
}

// fileIn is the path of a file, in a folder unless it says another one.
func (t *table) fileIn(folder, key string) string {
	path := t.text(key)
	if path == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(folder, path)
}

// checkCertificate wants both files, which belong together.
func (t *table) checkCertificate(c access.Config) {
	switch {
	case c.Certificate == "" && c.Key == "":
	case c.Certificate == "":
		t.wrong(t.at("key"), "add certificate, or take key away", "a key without its certificate is nothing")
	case c.Key == "":
		t.wrong(t.at("certificate"), "add key, or take certificate away", "a certificate without its key is nothing")
	default:
		if _, err := tls.LoadX509KeyPair(c.Certificate, c.Key); err != nil {
			t.wrong(t.at("certificate"), "give two PEM files that belong together, and let the station read them",
				"the certificate cannot be used: %s", fault.OneLine(err.Error()))
		}
	}
}

func (t *table) users() (all []access.User) {
	var names []string
	for _, t := range t.tables("user") {
		u := access.User{Name: t.person(&names), Role: t.role(), Password: t.text("password")}
		if err := access.CheckPassword(u.Password); err != nil {
			t.wrong(t.at("password"), "make the table with: ionoscribe watch --password NAME", "the password %v", err)
		}
		t.onlyKnown()
		all = append(all, u)
	}
	return all
}

func (t *table) tokens() (all []access.Token) {
	var names []string
	for _, t := range t.tables("token") {
		n := access.Token{Name: t.person(&names), Role: t.role()}
		var err error
		if n.SHA256, err = access.ParseSHA256(t.text("sha256")); err != nil {
			t.wrong(t.at("sha256"), "make the table with: ionoscribe watch --token NAME", "the token %v", err)
		}
		t.onlyKnown()
		all = append(all, n)
	}
	return all
}

// person is the name of a user or a program, which no other one has.
func (t *table) person(names *[]string) string {
	name := t.text("name")
	if err := access.CheckName(name); err != nil {
		message, mend, _ := strings.Cut(err.Error(), "; ")
		t.wrong(t.at("name"), mend, "the name %q %s", name, message)
	}
	t.unique("name", name, *names)
	*names = append(*names, name)
	return name
}

func (t *table) role() access.Role {
	text := t.text("role")
	role, ok := access.RoleOf(text)
	if !ok {
		t.wrong(t.at("role"), "there are: look, change", "the role %q is not known", text)
	}
	return role
}
