package access

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"github.com/alexedwards/argon2id"
)

// usual is what a new password costs: the second choice of RFC 9106, but one lane instead of four, so that a check keeps only one
// core from the receivers.
var usual = argon2id.Params{Memory: 64 << 10, Iterations: 3, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// Bounds of what a password may cost: less is guessed too soon (OWASP's least), more keeps a small computer from its work.
const (
	leastMemory, mostMemory = 19 << 10, 256 << 10 // KiB
	leastWork, mostWork     = 38 << 10, 1 << 20   // KiB times passes
	leastKey                = 16                  // bytes
)

// MostPassword is the length that a password may have, in bytes.
const MostPassword = 1024

// LeastPassword is the length that a new one must have, in bytes (NIST SP 800-63B).
const LeastPassword = 8

// MakePassword is the hash of a password, as [User] has it.
func MakePassword(password string) (string, error) {
	switch {
	case len(password) < LeastPassword:
		return "", fmt.Errorf("the password is too short; take %d characters or more", LeastPassword)
	case len(password) > MostPassword:
		return "", fmt.Errorf("the password is too long; take %d characters at most", MostPassword)
	}
	return argon2id.CreateHash(password, &usual)
}

// CheckPassword says what is wrong with the hash of a password.
func CheckPassword(hash string) error {
	p, salt, key, err := argon2id.DecodeHash(hash)
	if err != nil || p.Parallelism == 0 || p.Iterations == 0 {
		return errors.New("is no argon2id hash")
	}
	work := uint64(p.Memory) * uint64(p.Iterations)
	switch {
	case p.Memory < leastMemory || work < leastWork || len(salt) < 8 || len(key) < leastKey:
		return errors.New("is guessed too easily: its memory, passes, salt or key are too small")
	case p.Memory > mostMemory || work > mostWork || len(salt) > 64 || len(key) > 64:
		return errors.New("costs too much: its memory, passes, salt or key are too large")
	}
	return nil
}

// decoy is a hash that no password has, which costs as much as another one.
func decoy(like string) string {
	p, _, _, err := argon2id.DecodeHash(like)
	if err != nil {
		p = &usual
	}
	secret := make([]byte, p.SaltLength+p.KeyLength)
	rand.Read(secret) // never fails
	b64 := base64.RawStdEncoding.EncodeToString
	salt, key := b64(secret[:p.SaltLength]), b64(secret[p.SaltLength:])
	return fmt.Sprintf("$argon2id$v=19$m=%d,t=%d,p=%d$%s$%s", p.Memory, p.Iterations, p.Parallelism, salt, key)
}

// checks are the checks of passwords that may run at a time: each takes 64 MiB and a core, of which receivers need some too.
type checks chan struct{}

const (
	mostChecks  = 2
	checksAwait = 2 * time.Second // for one of them; a check takes about 0.2 s
)

// match compares a password; it fails if too many are compared already.
func (c checks) match(ctx context.Context, password, hash string) (bool, error) {
	ctx, cancel := context.WithTimeout(ctx, checksAwait)
	defer cancel()
	select {
	case c <- struct{}{}:
		defer func() { <-c }()
	case <-ctx.Done():
		return false, tooOften(checksAwait)
	}
	return argon2id.ComparePasswordAndHash(password, hash)
}
