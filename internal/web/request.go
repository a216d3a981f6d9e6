package web

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"
)

// query reads the parameters of a request. The first mistake is its error.
type query struct {
	values url.Values
	err    error
}

// queryOf takes those parameters that are known; any other one is a mistake.
func queryOf(r *http.Request, known ...string) *query {
	values, err := url.ParseQuery(r.URL.RawQuery)
	q := &query{values: values}
	if err != nil {
		q.wrong(badRequest("the query cannot be read: %v", err))
	}
	for name := range values {
		if !slices.Contains(known, name) {
			q.wrong(badRequest("there is no parameter %q here; there are %q", name, known))
		}
	}
	return q
}

func (q *query) wrong(err error) {
	if q.err == nil {
		q.err = err
	}
}

func (q *query) text(name string) string    { return q.values.Get(name) }
func (q *query) texts(name string) []string { return q.values[name] }

func (q *query) yes(name string) bool {
	switch v := q.values.Get(name); v {
	case "true":
		return true
	case "", "false":
	default:
		q.wrong(badRequest("%s = %q is neither true nor false", name, v))
	}
	return false
}

// integer is 0 if it is not given.
func (q *query) integer(name string) (n int64) {
	if v := q.values.Get(name); v != "" {
		var err error
		if n, err = strconv.ParseInt(v, 10, 64); err != nil || n < 0 {
			q.wrong(badRequest("%s = %q is no number from 0 on", name, v))
		}
	}
	return n
}

// number is 0 if it is not given.
func (q *query) number(name string) (x float64) {
	if v := q.values.Get(name); v != "" {
		var err error
		if x, err = strconv.ParseFloat(v, 64); err != nil || x-x != 0 {
			q.wrong(badRequest("%s = %q is no number", name, v))
		}
	}
	return x
}

// time is zero if it is not given.
func (q *query) time(name string) (t time.Time) {
	if v := q.values.Get(name); v != "" {
		var err error
		if t, err = time.Parse(time.RFC3339, v); err != nil {
			q.wrong(badRequest("%s = %q is no time such as 2026-03-04T12:15:00Z", name, v))
		}
	}
	return t.UTC()
}

// numberIn is a number in the path, in the one way in which it is written.
func numberIn(r *http.Request, name string) (int64, error) {
	n, err := strconv.ParseInt(r.PathValue(name), 10, 64)
	if err != nil || n <= 0 || strconv.FormatInt(n, 10) != r.PathValue(name) {
		return 0, notFound("%q is no number of a %s", r.PathValue(name), name)
	}
	return n, nil
}

// read takes the body of a request, an object of JSON, into v; unknown keys are a mistake.
func read(r *http.Request, v any) error {
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "application/json" {
		return problemOf(http.StatusUnsupportedMediaType, "the body must be JSON; say so with Content-Type: application/json")
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	err := d.Decode(v)
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			err = errors.New("something follows the object")
		}
	}
	if tooLong, is := errors.AsType[*http.MaxBytesError](err); is {
		return tooLong
	}
	if err != nil {
		return badRequest("the body is not as it should be: %v", err)
	}
	return nil
}
