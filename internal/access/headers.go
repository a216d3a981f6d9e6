package access

import (
	"net/http"
	"strings"
)

// contentPolicy lets the page use its own files, and pictures that it makes, and nothing else; Trusted Types keep texts that were
// received from ever being taken for HTML.
var contentPolicy = strings.Join([]string{
	"default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' blob:", "connect-src 'self'", "media-src 'self'",
	"font-src 'self'", "manifest-src 'self'", "base-uri 'none'", "form-action 'self'", "frame-ancestors 'none'",
	"require-trusted-types-for 'script'", "trusted-types 'none'",
}, "; ")

// permissions that the page does not need.
const permissions = "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), magnetometer=(), " +
	"microphone=(), midi=(), payment=(), serial=(), usb=()"

// secure tells browsers to be strict.
func secure(h http.Header, r *http.Request) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", permissions)
	// Not for this computer's own names, which other programs use without TLS: browsers hold it against all ports of a name.
	if r.TLS != nil && !isLocal(hostname(r.Host)) {
		h.Set("Strict-Transport-Security", "max-age=31536000")
	}
}
