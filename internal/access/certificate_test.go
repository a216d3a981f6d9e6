package access

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"log/slog"
	"math/big"
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"
)

// putPair puts a certificate with a number, and its key, at a time.
func putPair(t *testing.T, folder string, number int64, at time.Time) (cert, key string) {
	t.Helper()
	secret, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	of := &x509.Certificate{SerialNumber: big.NewInt(number), DNSNames: []string{"station.example"}, NotAfter: at.Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, of, of, secret.Public(), secret)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(folder, "station.pem"), filepath.Join(folder, "station.key")
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: keyDER}} {
		err := errors.Join(os.WriteFile(path, pem.EncodeToMemory(block), 0o600), os.Chtimes(path, at, at))
		if err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// Certificates are read again when they change; wrong files leave the one before in force.
func TestCertificateChanges(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		folder := t.TempDir()
		certPath, keyPath := filepath.Join(folder, "station.pem"), filepath.Join(folder, "station.key")
		c := &certificate{log: slog.New(slog.DiscardHandler), files: func() (string, string) { return certPath, keyPath }}
		number := func() string {
			time.Sleep(looksAgain)
			pair, err := c.get(nil)
			if err != nil {
				return "none"
			}
			return fmt.Sprint(pair.Leaf.SerialNumber)
		}
		if got := number(); got != "none" {
			t.Error("without files:", got)
		}
		putPair(t, folder, 1, time.Now())
		if got := number(); got != "1" {
			t.Error(got)
		}
		putPair(t, folder, 2, time.Now())
		if got := number(); got != "2" {
			t.Error("after a change:", got)
		}
		if err := os.WriteFile(keyPath, []byte("nonsense"), 0o600); err != nil {
			t.Fatal(err)
		}
		if got := number(); got != "2" {
			t.Error("after nonsense:", got)
		}
		other := t.TempDir()
		certPath, keyPath = putPair(t, other, 3, time.Now())
		if pair, err := c.get(nil); err != nil || pair.Leaf.SerialNumber.Int64() != 3 {
			t.Error("after other files were configured:", pair.Leaf.SerialNumber, err)
		}
	})
}
