package access

import (
	"crypto/tls"
	"log/slog"
	"os"
	"sync"
	"time"
)

// looksAgain is how often the files of a certificate are looked at, when a browser comes.
const looksAgain = 5 * time.Second

// certificate is read again when its files change.
type certificate struct {
	files func() (cert, key string)
	log   *slog.Logger

	mu         sync.Mutex
	looked     time.Time
	cert, key  stamp
	present    *tls.Certificate
	presentErr error
}

// stamp changes when the file does.
type stamp struct {
	path string
	time time.Time
	size int64
}

func stampOf(path string) stamp {
	s := stamp{path: path}
	if fi, err := os.Stat(path); err == nil {
		s.time, s.size = fi.ModTime(), fi.Size()
	}
	return s
}

// get is GetCertificate of a [tls.Config]. If the files are wrong, the certificate before stays in force.
func (c *certificate) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	certPath, keyPath := c.files()
	moved := certPath != c.cert.path || keyPath != c.key.path
	if !moved && time.Since(c.looked) < looksAgain {
		return c.present, c.presentErr
	}
	c.looked = time.Now()
	cert, key := stampOf(certPath), stampOf(keyPath)
	if cert == c.cert && key == c.key {
		return c.present, c.presentErr
	}
	c.cert, c.key = cert, key
	pair, err := tls.LoadX509KeyPair(certPath, keyPath)
	switch {
	case err == nil:
		c.present, c.presentErr = &pair, nil
	case c.present == nil:
		c.presentErr = err
		fallthrough
	default:
		c.log.Error("the certificate cannot be used; give files that belong together",
			"certificate", certPath, "key", keyPath, "error", err)
	}
	return c.present, c.presentErr
}
