package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"ionoscribe/internal/archive"
	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/filing"
	"ionoscribe/internal/rehearsal"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
)

// runDemoStation makes the folder of an invented station, if it is not there, and keeps watch.
func runDemoStation(ctx context.Context, o demoOptions, out, errs io.Writer) error {
	now := time.Now().UTC()
	demo := rehearsal.Demo{Now: now, Listen: o.listen}
	if o.at != "" {
		var err error
		if demo.Now, err = time.Parse(filing.TimeForm, o.at); err != nil {
			return usageError{fmt.Errorf("--at %s is no time such as 2026-03-04T12:00:00Z", o.at)}
		}
		demo.Behind = now.Sub(demo.Now)
	}
	folder := o.out
	path := filepath.Join(folder, stationfile.Name)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return &fault.Error{Op: "make", Path: folder, Err: fault.Cause(err), Mend: "check its folder"}
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		err := chartfile.WriteFile(path, func(w io.Writer) error {
			_, err := w.Write(demo.Config())
			return err
		})
		if err != nil {
			return err
		}
	}
	if _, err := os.Stat(filepath.Join(folder, archive.Name)); errors.Is(err, fs.ErrNotExist) {
		demo.New = true
	}
	c, err := stationfile.Load(path)
	if err != nil {
		return stationError(err)
	}
	err = printLine(out, fmt.Sprintf(`An invented station keeps watch in %[1]s: it hears an invented day at once, in half a minute, and goes on until it is
interrupted. Its page is at http://%[2]s. Or search what it heard:
  ionoscribe find --station %[1]s gale
  ionoscribe find --station %[1]s --mode fax`, folder, c.Page.Listen))
	if err != nil {
		return err
	}
	return watch(ctx, folder, c, station.Options{BySamples: true, Now: demo.Time, Open: openDemo(demo), Log: newLog(errs)})
}

// openDemo opens receivers of the invented station, and others.
func openDemo(d rehearsal.Demo) station.Opener {
	return func(ctx context.Context, r stationfile.Receiver, dialHz float64) (*station.Input, error) {
		if name, ok := strings.CutPrefix(r.Source, rehearsal.DemoPrefix); ok {
			if in := d.Open(name); in != nil {
				return in, nil
			}
		}
		return openReceiver(ctx, r, dialHz)
	}
}
