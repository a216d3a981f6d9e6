package main

import (
	"io"
	"sync"
)

// sharedWriter is a writer for several goroutines, one line at a time each.
type sharedWriter struct {
	mutex sync.Mutex
	w     io.Writer
}

func (s *sharedWriter) Write(p []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.w.Write(p)
}
