package access

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"net/http"
	"strings"
)

// MakeToken is a new token for a program, and what [Token] keeps of it.
func MakeToken() (token string, sum [sha256.Size]byte) {
	token = rand.Text() + rand.Text() // 260 bits: it cannot be guessed, so that a fast hash is enough
	return token, sha256.Sum256([]byte(token))
}

// ParseSHA256 reads the hash of a token, 64 hexadecimal digits.
func ParseSHA256(text string) (sum [sha256.Size]byte, err error) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != len(sum) {
		return sum, errors.New("is no SHA-256 of 64 hexadecimal digits")
	}
	return [sha256.Size]byte(b), nil
}

// bearer is the token of a request; ok: it has one, of whatever kind.
func bearer(r *http.Request) (token string, ok bool) {
	header := r.Header.Get("Authorization")
	scheme, token, _ := strings.Cut(header, " ")
	if header == "" {
		return "", false
	}
	if !strings.EqualFold(scheme, "Bearer") {
		return "", true
	}
	return strings.TrimSpace(token), true
}

// find is the token of a text. It compares all of them, so that the time tells nothing.
func (p *policy) find(token string) (found *Token) {
	sum := sha256.Sum256([]byte(token))
	for i := range p.Tokens {
		if subtle.ConstantTimeCompare(sum[:], p.Tokens[i].SHA256[:]) == 1 {
			found = &p.Tokens[i]
		}
	}
	if token == "" {
		return nil
	}
	return found
}
