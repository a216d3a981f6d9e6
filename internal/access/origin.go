package access

import (
	"net/http"
	"slices"
	"strings"
)

// checkOrigin refuses what pages of others make a browser send.
func (p *policy) checkOrigin(r *http.Request, byCookie bool) *Refusal {
	h := r.Header
	origin, site := h.Get("Origin"), h.Get("Sec-Fetch-Site")
	opens := strings.EqualFold(h.Get("Upgrade"), "websocket") // which browsers do for every page
	changes := opens || !slices.Contains([]string{http.MethodGet, http.MethodHead, http.MethodOptions}, r.Method)
	if changes {
		as := *r
		as.Method = http.MethodPost
		if p.origins.Check(&as) != nil {
			return refusal(http.StatusForbidden,
				"this comes from another page; if a proxy changes the address of this one, name it in trusted_origins of [page]")
		}
		if byCookie && origin == "" && site == "" {
			return refusal(http.StatusForbidden,
				"it is not known which page this comes from; programs use a token instead of a cookie")
		}
		return nil
	}
	// Other pages may link to this one. What they embed or fetch is nothing that they should learn from.
	another := site == "cross-site" || site == "same-site"
	if another && h.Get("Sec-Fetch-Mode") != "navigate" && !slices.Contains(p.TrustedOrigins, origin) {
		return refusal(http.StatusForbidden, "this is asked for by another page; open it by itself")
	}
	return nil
}
