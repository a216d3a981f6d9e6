package alerts

import (
	"context"
	"errors"
	"fmt"
)

// Way is a way out to the operator.
type Way interface {
	// Send sends a message and returns what the other side answered. It ends soon after ctx does. An error that is [ErrNotSent]
	// says that nothing can have arrived.
	Send(ctx context.Context, m Message) (reply string, err error)
}

// Message is an alert as it is sent, as JSON where that is asked for.
type Message struct {
	Alert
	Repeated bool `json:"repeated"` // an earlier attempt may have arrived
}

// ErrNotSent is what errors of attempts are of which nothing can have arrived.
var ErrNotSent = errors.New("nothing was sent")

func isNotSent(err error) bool { return errors.Is(err, ErrNotSent) }

// wrap is an error in other words of which as much can have arrived.
func wrap(err, words error) error {
	if isNotSent(err) {
		return notSent{words}
	}
	return words
}

// notSent is an error of an attempt of which nothing can have arrived.
type notSent struct{ error }

func (e notSent) Is(target error) bool { return target == ErrNotSent }
func (e notSent) Unwrap() error        { return e.error }

// noWay is the name of a way out that there is not.
type noWay string

func (w noWay) Send(context.Context, Message) (string, error) {
	return "", notSent{fmt.Errorf("the configuration has no way out with the name %q; add it, or alerts for it are given up after a day", string(w))}
}
