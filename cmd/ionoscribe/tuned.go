package main

import (
	"math"
	"time"

	"ionoscribe/audio"
	"ionoscribe/demod"
)

// timed is what knows when each of its samples was, and how.
type timed interface {
	Time(sample int64) time.Time // UTC
	StartFrom() string
}

// source is what is read: a *audio.Source, a *audio.IQSource, or a receiver on one.
type source interface {
	SampleRate() float64
	Length() int64 // samples; -1: unknown
	timed
	Dial() float64 // Hz; 0: unknown
	DialFrom() string
	Close() error
	Report() string // of a live source; "" if there is nothing to tell
	Lost() int64    // samples so far for which silence stands
}

// tuned is the audio of a part of complex samples.
type tuned struct {
	*demod.TunerReader
	q      *audio.IQSource
	offset float64 // Hz from the middle
}

func (s tuned) Length() int64 {
	if s.q.Length() < 0 {
		return -1
	}
	return int64(float64(s.q.Length()) * s.SampleRate() / s.q.SampleRate())
}

func (s tuned) Time(sample int64) time.Time {
	return s.q.Time(int64(math.Round(float64(sample) * s.q.SampleRate() / s.SampleRate())))
}

func (s tuned) StartFrom() string { return s.q.StartFrom() }

func (s tuned) Dial() float64 {
	if s.q.Dial() == 0 {
		return 0
	}
	return s.q.Dial() + s.offset
}

func (s tuned) DialFrom() string { return s.q.DialFrom() }

func (s tuned) Close() error { return s.q.Close() }

func (s tuned) Report() string { return s.q.Report() }

func (s tuned) Lost() int64 { return int64(float64(s.q.Lost()) * s.SampleRate() / s.q.SampleRate()) }
