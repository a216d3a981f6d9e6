package stationfile

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net/netip"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/access"
)

// putCertificate puts station.pem and station.key into a folder.
func putCertificate(t *testing.T, folder string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	must(t, err)
	of := &x509.Certificate{SerialNumber: big.NewInt(1), DNSNames: []string{"station.example"}, NotAfter: time.Now().Add(time.Hour)}
	cert, err := x509.CreateCertificate(rand.Reader, of, of, key.Public(), key)
	must(t, err)
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	must(t, err)
	must(t, os.WriteFile(filepath.Join(folder, "station.pem"), pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert}), 0o666))
	must(t, os.WriteFile(filepath.Join(folder, "station.key"), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600))
}

const hash = "$argon2id$v=19$m=65536,t=3,p=1$c2FsdHNhbHRzYWx0c2FsdA$MDEyMzQ1Njc4OTAxMjM0NTY3ODkwMTIzNDU2Nzg5MDE"

const pageText = `listen = "0.0.0.0:8073"
[page]
hosts = ["station.example", "192.0.2.1"]
certificate = "station.pem"
key = "station.key"
trusted_proxies = ["10.0.0.0/8", "::1"]
trusted_origins = "https://charts.example:8443"

[[page.user]]
name = "mate"
role = "look"
password = "` + hash + `"

[[page.user]]
name = "master"
role = "change"
password = "` + hash + `"

[[page.token]]
name = "display"
role = "look"
sha256 = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"

[[receiver]]
name = "a"
source = "device:default"
`

func TestPage(t *testing.T) {
	path := put(t, Name, pageText)
	folder := filepath.Dir(path)
	putCertificate(t, folder)
	c, err := Load(path)
	must(t, err)
	want := access.Config{
		Listen: "0.0.0.0:8073", Hosts: []string{"station.example", "192.0.2.1"},
		Certificate: filepath.Join(folder, "station.pem"), Key: filepath.Join(folder, "station.key"),
		TrustedProxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("::1/128")},
		TrustedOrigins: []string{"https://charts.example:8443"},
		Users:          []access.User{{Name: "mate", Role: access.Look, Password: hash}, {Name: "master", Role: access.Change, Password: hash}},
		Tokens:         []access.Token{{Name: "display", Role: access.Look, SHA256: c.Page.Tokens[0].SHA256}},
	}
	if !reflect.DeepEqual(c.Page, want) || c.Page.Tokens[0].SHA256[1] != 0x23 {
		t.Errorf("\n got %+v\nwant %+v", c.Page, want)
	}
}

// Each mistake is told where it is, as in TestProblems.
func TestPageProblems(t *testing.T) {
	users := pageText[strings.Index(pageText, "\n[[page.user]]"):strings.Index(pageText, "\n[[receiver]]")]
	for _, c := range []struct{ old, by, want string }{
		{users, "", `:1:10: other computers reach this address, and nobody is asked for a password; add a [[page.user]]`},
		{`listen = "0.0.0.0:8073"` + pageText[23:strings.Index(pageText, "\n[[receiver]]")], "[page]\ntrusted_proxies = ['::1']", `:2:19: a proxy lets other computers in, and nobody is asked for a password; add`},
		{`["station.example", "192.0.2.1"]`, `["a", "b:80"]`, `:3:15: "b:80" is no name of a computer; write a name such as station.example, without a port`},
		{`["station.example", "192.0.2.1"]`, `"http://x"`, `:3:9: "http://x" is no name of a computer`},
		{`"station.pem"`, `"other.pem"`, `:4:15: the certificate cannot be used: open `},
		{`key = "station.key"`, ``, `:4:15: a certificate without its key is nothing; add key, or take certificate away`},
		{`certificate = "station.pem"`, ``, `:5:7: a key without its certificate is nothing`},
		{`"10.0.0.0/8"`, `"10.0.0.0/33"`, `:6:20: "10.0.0.0/33" is neither an address nor a network; write such as 192.0.2.7 or 10.0.0.0/8`},
		{`"https://charts.example:8443"`, `"charts.example"`, `:7:19: "charts.example" is no origin; write such as https://charts.example`},
		{`"https://charts.example:8443"`, `"https://charts.example/"`, `:7:19: "https://charts.example/" is no origin`},
		{`name = "mate"`, ``, `:9:8: the name "" is empty; write such as mate`},
		{`name = "mate"`, `name = "master"`, `:15:8: the name "master" is there already; give one of them another name`},
		{`name = "mate"`, `name = "a\u0007"`, `:10:8: the name "a\a" cannot be shown`},
		{`role = "look"`, `role = "all"`, `:11:8: the role "all" is not known; there are: look, change`},
		{`role = "look"`, ``, `:9:8: the role "" is not known; there are: look, change`},
		{`password = "` + hash, `password = "secret`, `:12:12: the password is no argon2id hash; make the table with: ionoscribe watch --password NAME`},
		{`m=65536`, `m=1024`, `:12:12: the password is guessed too easily`},
		{`sha256 = "01`, `sha256 = "0`, `:22:10: the token is no SHA-256 of 64 hexadecimal digits; make the table with: ionoscribe watch --token NAME`},
		{`sha256 =`, `sha265 =`, `:22:1: "sha265" is not known; did you mean sha256?`},
		{`hosts =`, `host =`, `:3:1: "host" is not known; did you mean hosts?`},
	} {
		text := strings.Replace(pageText, c.old, c.by, 1)
		if text == pageText {
			t.Errorf("%s is not there", c.old)
		}
		path := put(t, Name, text)
		putCertificate(t, filepath.Dir(path))
		if _, err := Load(path); err == nil || !strings.Contains(err.Error(), path+c.want) {
			t.Errorf("%s\n got %v\nwant %s", c.by, err, c.want)
		}
	}
}
