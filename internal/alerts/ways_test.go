package alerts_test

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
)

// message has in it what might break a way out.
func message() alerts.Message {
	return alerts.Message{Alert: alerts.Alert{
		ID: 42, Station: "Inselwacht", Rule: "gale", What: alerts.SignalText, UTC: time.Date(2026, 11, 27, 5, 59, 1, 0, time.UTC),
		Made: time.Date(2026, 11, 27, 6, 0, 0, 0, time.UTC), Summary: "Words received on 4583.0 kHz", Match: "GALE", Excerpt: "ÄÖ \"; rm -rf $HOME\n.\n<b>", HeldBack: 2,
	}, Repeated: true}
}

// open makes a way out as a configuration says it.
func open(t *testing.T, w alerts.WayConfig) alerts.Way {
	t.Helper()
	w.Name = "test"
	if faults := w.Check(); len(faults) > 0 {
		t.Fatal(faults)
	}
	way, err := w.Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return way
}

func send(t *testing.T, w alerts.Way) (string, error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	return w.Send(ctx, message())
}

// fails checks that an attempt fails with words, and whether something may have arrived.
func fails(t *testing.T, what string, err error, maySay string, notSent bool) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), maySay) || errors.Is(err, alerts.ErrNotSent) != notSent {
		t.Errorf("%s: %v; nothing was sent: %t", what, err, errors.Is(err, alerts.ErrNotSent))
	}
}

// isMessage checks JSON that a peer got.
func isMessage(t *testing.T, got []byte) {
	t.Helper()
	var m alerts.Message
	if err := json.Unmarshal(got, &m); err != nil || m != message() {
		t.Errorf("the peer got %s; %v", got, err)
	}
}

func TestCommand(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	run := func(what string, arguments ...string) (string, error) {
		t.Setenv("ALERTS_TEST_COMMAND", what)
		return send(t, open(t, alerts.WayConfig{Command: append([]string{self}, arguments...), Timeout: alerts.Duration(10 * time.Second)}))
	}
	reply, err := run("echo", "{summary}", "$HOME;{rule}", "*")
	first, rest, _ := strings.Cut(reply, " {")
	if err != nil || first != "Words received on 4583.0 kHz|$HOME;gale|*" {
		t.Errorf("reply %q, %v", reply, err)
	}
	isMessage(t, []byte("{"+rest))
	if reply, err := run("deaf"); err != nil || reply == "" {
		t.Errorf("one that does not read: %q, %v", reply, err)
	}
	if reply, err := run("long"); err != nil || len(reply) > 600 {
		t.Errorf("one that says much: %d bytes, %v", len(reply), err)
	}
	_, err = run("fail")
	fails(t, "one that fails", err, "out of paper", false)
	_, err = send(t, open(t, alerts.WayConfig{Command: []string{filepath.Join(t.TempDir(), "none")}}))
	fails(t, "one that there is not", err, "does not start", true)
	t.Setenv("ALERTS_TEST_COMMAND", "sleep")
	_, err = send(t, open(t, alerts.WayConfig{Command: []string{self}, Timeout: alerts.Duration(50 * time.Millisecond)}))
	fails(t, "one that sleeps", err, "no answer in 50ms", false)
}

func TestDesktop(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Setenv("PATHEXT", ".EXE")
	}
	t.Setenv("PATH", t.TempDir())
	_, err := send(t, open(t, alerts.WayConfig{Desktop: true}))
	fails(t, "no desktop", err, "notify-send", true)

	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	if err := os.Symlink(self, filepath.Join(folder, "notify-send")); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", folder)
	t.Setenv("ALERTS_TEST_COMMAND", "echo")
	reply, err := send(t, open(t, alerts.WayConfig{Desktop: true}))
	if err != nil || !strings.HasPrefix(reply, "--app-name=Ionoscribe|--|Words received on 4583.0 kHz|gale ") {
		t.Errorf("reply %q, %v", reply, err)
	}
}

// secretFile has a secret, and a line's end as editors leave it.
func secretFile(t *testing.T, secret string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(name, []byte(secret+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestWebhook(t *testing.T) {
	const secret = "an invented secret"
	var got []byte
	var moved int
	mux := http.NewServeMux()
	mux.HandleFunc("POST /alert", func(w http.ResponseWriter, r *http.Request) {
		got, _ = io.ReadAll(r.Body)
		stamp := r.Header.Get("Ionoscribe-Timestamp")
		mac := hmac.New(sha256.New, []byte(secret))
		io.WriteString(mac, stamp+"."+string(got))
		sent, err := strconv.ParseInt(stamp, 10, 64)
		if age := time.Since(time.Unix(sent, 0)); err != nil || age < -time.Minute || age > time.Minute {
			t.Errorf("timestamp %q", stamp)
		}
		signature, ok := strings.CutPrefix(r.Header.Get("Ionoscribe-Signature"), "sha256=")
		if b, err := hex.DecodeString(signature); !ok || err != nil || !hmac.Equal(b, mac.Sum(nil)) {
			w.WriteHeader(http.StatusUnauthorized)
			return
		}
		if r.Header.Get("Content-Type") != "application/json" {
			w.WriteHeader(http.StatusUnsupportedMediaType)
			return
		}
		w.WriteHeader(http.StatusAccepted)
		io.WriteString(w, "thank\x1b you\n"+strings.Repeat("x", 5000))
	})
	mux.HandleFunc("/error", func(w http.ResponseWriter, r *http.Request) { http.Error(w, "broken", http.StatusInternalServerError) })
	mux.HandleFunc("/moved", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "/there", http.StatusTemporaryRedirect)
	})
	mux.HandleFunc("/there", func(w http.ResponseWriter, r *http.Request) { moved++ })
	mux.HandleFunc("/abort", func(http.ResponseWriter, *http.Request) { panic(http.ErrAbortHandler) })
	mux.HandleFunc("/slow", func(_ http.ResponseWriter, r *http.Request) {
		io.Copy(io.Discard, r.Body) // then the server sees that the connection is closed
		<-r.Context().Done()
	})
	server := httptest.NewServer(mux)
	defer server.Close()
	hook := func(path, secretFile string) alerts.Way {
		return open(t, alerts.WayConfig{Webhook: &alerts.Webhook{URL: server.URL + path, SecretFile: secretFile}, Timeout: alerts.Duration(10 * time.Second)})
	}
	reply, err := send(t, hook("/alert", secretFile(t, secret)))
	if err != nil || !strings.HasPrefix(reply, "202 Accepted: thank you x") || len(reply) > 600 {
		t.Errorf("reply %q, %v", reply, err)
	}
	isMessage(t, got)
	_, err = send(t, hook("/alert", secretFile(t, "another one")))
	fails(t, "another secret", err, "401", false)
	_, err = send(t, hook("/alert", ""))
	fails(t, "no secret", err, "401", false)
	_, err = send(t, hook("/error", ""))
	fails(t, "an error", err, "500 Internal Server Error: broken", false)
	if _, err = send(t, hook("/moved", "")); moved > 0 {
		t.Error("it follows a redirection")
	}
	fails(t, "a redirection", err, "307", false)
	_, err = send(t, hook("/abort", ""))
	fails(t, "an aborted answer", err, "EOF", false)
	_, err = send(t, open(t, alerts.WayConfig{Webhook: &alerts.Webhook{URL: server.URL + "/slow"}, Timeout: alerts.Duration(50 * time.Millisecond)}))
	fails(t, "a slow server", err, "no answer in 50ms", false)
	server.Close()
	_, err = send(t, hook("/alert", ""))
	fails(t, "no server", err, "refused", true)
}

// closedPort is an address at which nobody listens.
func closedPort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func TestOpenFails(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty")
	if err := os.WriteFile(empty, []byte("\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{filepath.Join(t.TempDir(), "none"), t.TempDir(), empty} {
		w := alerts.WayConfig{Name: "hook", Webhook: &alerts.Webhook{URL: "http://localhost", SecretFile: file}}
		if _, err := w.Open("."); err == nil || !strings.Contains(err.Error(), "hook") || !strings.Contains(err.Error(), file) {
			t.Errorf("a secret in %s: %v", file, err)
		}
	}
	w := alerts.WayConfig{Name: "hook"}
	if _, err := w.Open("."); err == nil {
		t.Error("a way out that does not say how is opened")
	}
}
