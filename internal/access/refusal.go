package access

import (
	"fmt"
	"net/http"
	"time"
)

// Refusal is why somebody does not come in.
type Refusal struct {
	Status int           // of HTTP
	Detail string        // a sentence with the mend
	Wait   time.Duration // until it is worth another try; 0: it is not known
}

func (r *Refusal) Error() string { return r.Detail }

func refusal(status int, detail string, args ...any) *Refusal {
	return &Refusal{Status: status, Detail: fmt.Sprintf(detail, args...)}
}

func tooOften(wait time.Duration) *Refusal {
	return &Refusal{Status: http.StatusTooManyRequests, Detail: "that was tried too often; wait a while", Wait: wait}
}
