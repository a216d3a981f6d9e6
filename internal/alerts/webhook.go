package alerts

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptrace"
	"strconv"
	"sync/atomic"
	"time"

	"ionoscribe/internal/fault"
)

// Headers of a webhook's request. The signature is "sha256=" and the HMAC-SHA256 (RFC 2104, FIPS 180-4), in hexadecimal, of the
// timestamp, a dot and the body; the timestamp is in seconds since 1970. Whoever checks both knows who sent it and that it is no
// old one.
const (
	timestampHeader = "Ionoscribe-Timestamp"
	signatureHeader = "Ionoscribe-Signature"
	signatureBegin  = "sha256="
)

type webhook struct {
	url    string
	secret []byte // nil: nothing is signed
	client *http.Client
}

func newWebhook(url string, secret []byte) webhook {
	return webhook{url, secret, &http.Client{
		// A redirection is an answer outside 2xx: what is signed for one place is not sent to another.
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
}

// Send posts the message as JSON. Its reply is the status and the beginning of the body.
func (w webhook) Send(ctx context.Context, m Message) (string, error) {
	body, err := json.Marshal(m)
	if err != nil {
		return "", notSent{err}
	}
	var wrote atomic.Bool
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{WroteHeaders: func() { wrote.Store(true) }})
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, w.url, bytes.NewReader(body))
	if err != nil {
		return "", notSent{err}
	}
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("User-Agent", "Ionoscribe")
	// The receiver has a clock of its own: it is the time of sending, also where the station's time is another one.
	timestamp := strconv.FormatInt(time.Now().Unix(), 10)
	request.Header.Set(timestampHeader, timestamp)
	if w.secret != nil {
		request.Header.Set(signatureHeader, signatureBegin+hex.EncodeToString(sign(w.secret, []byte(timestamp+"."), body)))
	}
	response, err := w.client.Do(request)
	if err != nil {
		if !wrote.Load() {
			err = notSent{err}
		}
		return "", err
	}
	defer response.Body.Close()
	said, _ := io.ReadAll(io.LimitReader(response.Body, longestReply))
	reply := response.Status
	if line := fault.OneLine(string(said)); line != "" {
		reply += ": " + line
	}
	if response.StatusCode < 200 || response.StatusCode > 299 {
		return reply, fmt.Errorf("the webhook answered %s", reply)
	}
	return reply, nil
}

// sign is the HMAC-SHA256 of the parts, one behind the other.
func sign(key []byte, parts ...[]byte) []byte {
	h := hmac.New(sha256.New, key)
	for _, p := range parts {
		h.Write(p)
	}
	return h.Sum(nil)
}
