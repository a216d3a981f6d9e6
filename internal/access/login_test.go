package access

import (
	"cmp"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alexedwards/argon2id"
)

// Whether the user or the password is wrong cannot be told.
func TestWrongPassword(t *testing.T) {
	h := site(gateOf(t, station(t)))
	var answers []string
	for _, r := range []*http.Request{logIn("mate", "master's word"), logIn("nobody", "mate's word"), logIn("", ""), logIn("mate", strings.Repeat("x", MostPassword+1))} {
		a := send(h, r)
		body, _ := io.ReadAll(a.Body)
		if a.StatusCode != http.StatusUnauthorized || len(a.Cookies()) != 0 {
			t.Error(a.Status, a.Cookies())
		}
		answers = append(answers, string(body))
	}
	for _, a := range answers {
		if a != answers[0] {
			t.Errorf("%q and %q", a, answers[0])
		}
	}
}

// A decoy costs what the password of a user costs, and none is right.
func TestDecoy(t *testing.T) {
	for _, like := range []string{light(t, "x"), "", "nonsense"} {
		p, _, _, err := argon2id.DecodeHash(decoy(like))
		want, _, _, no := argon2id.DecodeHash(like)
		if no != nil {
			want = &usual
		}
		if err != nil || *p != *want {
			t.Errorf("%+v, want %+v: %v", p, want, err)
		}
	}
	if err := CheckPassword(decoy("")); err != nil {
		t.Error(err)
	}
}

// Whoever guesses is slowed down, and shuts out neither others nor the user.
func TestGuessing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := site(gateOf(t, station(t)))
		try := func(from, user, password string) *http.Response {
			r := logIn(user, password)
			r.RemoteAddr = from + ":1"
			return send(h, r)
		}
		began, allowed := time.Now(), 0
		for range 600 {
			a := try("192.0.2.7", "mate", "guess")
			switch a.StatusCode {
			case http.StatusUnauthorized:
				allowed++
			case http.StatusTooManyRequests:
			default:
				t.Fatal(a.Status)
			}
			time.Sleep(time.Second)
		}
		if most := addressTries + int(time.Since(began)/addressEvery); allowed > most || allowed < most-1 {
			t.Errorf("%d guesses in %v, %d were to be", allowed, time.Since(began), most)
		}
		if a := try("192.0.2.8", "mate", "mate's word"); a.StatusCode != http.StatusOK {
			t.Error("the user is shut out:", a.Status)
		}
		allowed = 0
		for i := range 200 { // many computers guess at one user
			if try(fmt.Sprintf("198.51.100.%d", i), "master", "guess").StatusCode == http.StatusUnauthorized {
				allowed++
			}
		}
		if allowed > userTries {
			t.Errorf("%d guesses at a user at once", allowed)
		}
	})
}

// Answers say how long to wait; addresses of one network of IPv6 are one client.
func TestHousehold(t *testing.T) {
	l := newLimits(1, time.Minute)
	h := site(gateOf(t, station(t)))
	for i := range addressTries + 1 {
		r := logIn("x"+strconv.Itoa(i), "guess")
		r.RemoteAddr = fmt.Sprintf("[2001:db8::%d]:1", i+1)
		a := send(h, r)
		if got := a.StatusCode == http.StatusTooManyRequests; got != (i == addressTries) {
			t.Errorf("try %d: %s", i, a.Status)
		}
	}
	if l.take("a") != 0 || l.take("a") < 50*time.Second {
		t.Error("the wait is not told")
	}
}

// Two passwords are compared at a time; the third waits, and does not wait for ever.
func TestChecksAtATime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := make(checks, mostChecks)
		c <- struct{}{}
		c <- struct{}{}
		_, err := c.match(t.Context(), "x", light(t, "x"))
		if no, ok := err.(*Refusal); !ok || no.Status != http.StatusTooManyRequests || no.Wait == 0 {
			t.Error(err)
		}
		time.AfterFunc(checksAwait/2, func() { <-c })
		if ok, err := c.match(t.Context(), "x", light(t, "x")); !ok || err != nil {
			t.Error(ok, err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		c <- struct{}{}
		if _, err := c.match(ctx, "x", light(t, "x")); err == nil {
			t.Error("a client that is gone is waited for")
		}
	})
}

// With TLS, of the station's own or of a trusted proxy, the cookie does not leave it.
func TestCookieUnderTLS(t *testing.T) {
	c := station(t)
	proxy, _ := ParseProxy("127.0.0.1")
	c.TrustedProxies = append(c.TrustedProxies, proxy)
	h := site(gateOf(t, c))
	own, proxied := logIn("mate", "mate's word"), logIn("mate", "mate's word")
	own.TLS = &tls.ConnectionState{}
	proxied.Header.Set("X-Forwarded-Proto", "https")
	for _, r := range []*http.Request{own, proxied} {
		a := send(h, r)
		if len(a.Cookies()) != 1 || !a.Cookies()[0].Secure || a.Cookies()[0].Name != "__Host-ionoscribe-8073" {
			t.Error(a.Status, a.Cookies())
		}
	}
}

func TestPasswords(t *testing.T) {
	hash, err := MakePassword("a long word")
	if err != nil || CheckPassword(hash) != nil {
		t.Fatal(err, CheckPassword(hash))
	}
	if ok, err := argon2id.ComparePasswordAndHash("a long word", hash); !ok || err != nil {
		t.Error(ok, err)
	}
	for _, password := range []string{"", "short", strings.Repeat("x", MostPassword+1)} {
		if hash, err := MakePassword(password); err == nil {
			t.Error(password, hash)
		}
	}
	_, salted, _ := strings.Cut(hash, "$m=65536,t=3,p=1")
	for hash, want := range map[string]string{
		"":                                       "no argon2id hash",
		"a long word":                            "no argon2id hash",
		"$argon2i$v=19$m=65536,t=3,p=1" + salted: "no argon2id hash",
		"$argon2id$v=19$m=65536,t=0,p=1" + salted:          "no argon2id hash",
		"$argon2id$v=19$m=65536,t=3,p=0" + salted:          "no argon2id hash",
		"$argon2id$v=19$m=65536,t=3,p=1$$":                 "too easily",
		"$argon2id$v=19$m=1024,t=3,p=1" + salted:           "too easily",
		"$argon2id$v=19$m=19456,t=1,p=1" + salted:          "too easily",
		"$argon2id$v=19$m=4194304,t=1,p=1" + salted:        "too much",
		"$argon2id$v=19$m=65536,t=4294967295,p=1" + salted: "too much",
	} {
		if err := CheckPassword(hash); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", hash, err)
		}
	}
	if err := CheckPassword("$argon2id$v=19$m=19456,t=2,p=1" + salted); err != nil {
		t.Error(err)
	}
}

func TestTokens(t *testing.T) {
	token, sum := MakeToken()
	if other, _ := MakeToken(); len(token) < 50 || other == token {
		t.Error(token, other)
	}
	p := policyOf(Config{Tokens: []Token{{Name: "a", Role: Look, SHA256: sum}}})
	if got := p.find(token); got == nil || got.Name != "a" {
		t.Error(got)
	}
	empty := policyOf(Config{Tokens: []Token{{SHA256: sha256.Sum256(nil)}}})
	if got := cmp.Or(p.find(token+" "), empty.find("")); got != nil {
		t.Error(got)
	}
	if got, err := ParseSHA256(fmt.Sprintf("%X", sum)); got != sum || err != nil {
		t.Error(got, err)
	}
	for _, text := range []string{"", "ab", strings.Repeat("g", 64), strings.Repeat("a", 66)} {
		if _, err := ParseSHA256(text); err == nil {
			t.Error(text)
		}
	}
}
