package cw

// Debug is told of looks for the speed.
func Debug(f func(string, ...any)) { debug = f }
