package web

import (
	"context"
	"errors"
	"net/http"
	"time"

	"ionoscribe/internal/archive"
)

// mostListed bounds lists of transmissions and of charts.
const mostListed = 200

// searchTime is how long a search may take: it holds one of the few connections to the database.
const searchTime = 10 * time.Second

// rating is a number of stars; 0 if it is not given.
func (q *query) rating(name string) int {
	n := q.integer(name)
	if n > 5 {
		q.wrong(badRequest("%s = %d is not between 0 and 5", name, n))
	}
	return int(min(n, 5))
}

// limit is how many are listed.
func (q *query) limit(most int) int {
	n := q.integer("limit")
	if n == 0 {
		return archive.UsualLimit
	}
	return int(min(n, int64(most)))
}

// inTime gives a search its time.
func inTime(r *http.Request) (context.Context, context.CancelFunc) {
	return context.WithTimeout(r.Context(), searchTime)
}

// fromArchive is an error of the archive as the interface tells it.
func fromArchive(err error) error {
	switch {
	case errors.Is(err, archive.ErrNone), errors.Is(err, archive.ErrNoChart):
		return notFound("%v", err)
	case errors.Is(err, archive.ErrOnly):
		return conflict("%v", err)
	case errors.Is(err, context.DeadlineExceeded):
		return problemOf(http.StatusServiceUnavailable, "it took too long; narrow it in time, or ask for less")
	}
	return err
}
