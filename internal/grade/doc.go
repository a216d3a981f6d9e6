// Package grade measures how good the decoders are: it makes a message, spoils it, decodes it and scores the
// result against what was sent, beside what a textbook receiver makes of the same audio.
package grade
