package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ionoscribe/audio"
	"ionoscribe/internal/alerts"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/flags"
	"ionoscribe/internal/live"
	"ionoscribe/internal/station"
	"ionoscribe/internal/stationfile"
	"ionoscribe/internal/web"
)

type watchOptions struct {
	init, check bool
	backup      string
	testAlert   string
	// user or token is to be made, with a role.
	user, token, role string
}

func newWatchCommand() *cobra.Command {
	var o watchOptions
	cmd := &cobra.Command{
		Use:   "watch [flags] FOLDER",
		Short: "Keep watch: copy and keep what receivers hear, day and night",
		Long: `Run a station: copy what its receivers hear, keep it in the archive of its folder, know what was expected and did not
come, and tell what the operator wants to be told. FOLDER has the configuration, station.toml; --init makes one. It is
read again when it changes and at SIGHUP. "ionoscribe find" searches the archive. Distress calls are told of on all ways out, unless a
rule for the mode dsc says otherwise: of them only an approved receiver and the authorities count.

Logs go to standard error, as text on a terminal and as JSON otherwise. With listen in the configuration, the station's
page is there, and /health and /metrics for programs. The program runs until it is interrupted, or all receivers are recordings that have been heard
to their end; what is received is saved within 5 seconds, a second signal ends it at once, and what a killed one left
is made ready at the next start.

Received charts are not for navigation: check official sources. Whether and what you may receive and
pass on differs by country.

` + statusHelp,
		Example: `  ionoscribe watch --init station
  ionoscribe watch --check station
  ionoscribe watch --password mate --role change >>station/station.toml
  ionoscribe watch station`,
	}
	cmd.Args = func(c *cobra.Command, args []string) error {
		if len(args) == 0 && (c.Flags().Changed("password") || c.Flags().Changed("token")) {
			return nil // they need no folder
		}
		return cobra.ExactArgs(1)(c, args)
	}
	cmd.RunE = func(c *cobra.Command, args []string) error {
		var orders []string
		for _, name := range []string{"init", "check", "backup", "test-alert", "password", "token"} {
			if c.Flags().Changed(name) {
				orders = append(orders, name)
			}
		}
		switch order := strings.Join(orders, ""); {
		case len(orders) > 1:
			return usageError{fmt.Errorf("--%s exclude each other", strings.Join(orders, " and --"))}
		case order == "password":
			return printUser(o.user, o.role, c.InOrStdin(), c.OutOrStdout(), c.ErrOrStderr())
		case order == "token":
			return printToken(o.token, o.role, c.OutOrStdout(), c.ErrOrStderr())
		case c.Flags().Changed("role"):
			return usageError{errors.New("--role belongs to --password and --token")}
		}
		return o.run(c.Context(), args[0], c.OutOrStdout(), c.ErrOrStderr())
	}
	o.addFlags(cmd.Flags())
	return cmd
}

func (o *watchOptions) addFlags(f *pflag.FlagSet) {
	f.BoolVar(&o.init, "init", false, "make the folder with a configuration to be filled in, and list the sound devices in it")
	f.BoolVar(&o.check, "check", false, "say what is wrong with the configuration")
	f.StringVar(&o.backup, "backup", "", "copy the archive's database into `FILE`, also while the station runs")
	f.StringVar(&o.testAlert, "test-alert", "", "send a test by the ways out of a `RULE`, and show what they reply")
	f.StringVar(&o.user, "password", "", "ask for the password of a user, `NAME`, and print the table for station.toml that lets the user in")
	f.StringVar(&o.token, "token", "", "make a token for a program, `NAME`, and print the table for station.toml that lets the program in")
	f.StringVar(&o.role, "role", "look", "what the user or the program may do: look, or change")
	flags.Choices(f, "role", "look", "change")
}

func (o watchOptions) run(ctx context.Context, folder string, out, errs io.Writer) error {
	switch {
	case o.init:
		return initStation(folder, out)
	case o.backup != "":
		return backUp(ctx, folder, o.backup, out)
	}
	c, err := stationfile.Load(filepath.Join(folder, stationfile.Name), checkReceiver)
	if err != nil {
		return stationError(err)
	}
	switch {
	case o.check:
		return printLine(out, fmt.Sprintf("%s is right. Receivers: %d, programme entries: %d, rules for alerts: %d", c.Path, len(c.Receivers), len(c.Programme), len(c.Alerts)))
	case o.testAlert != "":
		return testAlert(ctx, folder, c, o.testAlert, out)
	}
	return watch(ctx, folder, c, station.Options{Open: openReceiver, BySamples: recordingsAlone(c), Log: newLog(errs)}, checkReceiver)
}

// stationError makes an error a line for each mistake.
func stationError(err error) error {
	var problems stationfile.Problems
	if !errors.As(err, &problems) {
		return err
	}
	var all []error
	for _, p := range problems {
		all = append(all, usageError{p})
	}
	return errors.Join(all...)
}

// newLog is text on a terminal, and JSON otherwise.
func newLog(w io.Writer) *slog.Logger {
	if isTerminal(w) {
		return slog.New(slog.NewTextHandler(w, nil))
	}
	return slog.New(slog.NewJSONHandler(w, nil))
}

func initStation(folder string, out io.Writer) error {
	devices, _ := audio.Devices() // a machine without sound has none
	if err := stationfile.Init(folder, devices); err != nil {
		return err
	}
	return printLine(out, fmt.Sprintf("%s is made; fill it in, then: ionoscribe watch --check %s", filepath.Join(folder, stationfile.Name), folder))
}

func backUp(ctx context.Context, folder, file string, out io.Writer) error {
	r, err := archive.OpenReader(folder)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := r.Backup(ctx, file); err != nil {
		return err
	}
	return printLine(out, file)
}

func testAlert(ctx context.Context, folder string, c *stationfile.Config, rule string, out io.Writer) error {
	ways, err := station.Ways(folder, c)
	if err != nil {
		return err
	}
	replies, err := alerts.Test(ctx, alerts.Config{Station: c.Name, Rules: c.Rules(), Ways: ways}, rule)
	if err != nil {
		return usageError{err}
	}
	var failed []error
	for _, r := range replies {
		if r.Err != nil {
			failed = append(failed, fmt.Errorf("way out %s: %w", r.Way, r.Err))
			continue
		}
		if err := printLine(out, strings.TrimRight(r.Way+": "+r.Reply, "\n ")); err != nil {
			return err
		}
	}
	return errors.Join(failed...)
}

// watch runs a station until ctx is done or its recordings have ended.
func watch(ctx context.Context, folder string, c *stationfile.Config, o station.Options, checks ...func(stationfile.Receiver) error) error {
	log := o.Log
	s, err := station.Open(folder, c, o)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	hub := live.New(s)
	go hub.Run(ctx)
	page := web.New(web.Config{Folder: folder, Station: s, Archive: s.Archive(), Live: hub, Access: c.Page, Checks: checks, Version: version(), Log: log})
	rereadsAtHangUp.Store(true)
	endsSoon.Store(true)
	go func() {
		err := stationfile.Watch(ctx, c, func(c *stationfile.Config, err error) {
			if err == nil {
				err = s.Change(c)
			}
			if err == nil {
				page.Change(c.Page)
			}
			if err != nil {
				log.Error("the configuration is wrong; the one before stays in force", "error", err)
			}
		}, checks...)
		if err != nil && ctx.Err() == nil {
			log.Error("changes of the configuration are not noticed", "error", err)
		}
	}()
	go page.Serve(ctx)
	go station.Watchdog(ctx, s.Moves)
	station.Notify("READY=1")
	err = s.Run(ctx)
	station.Notify("STOPPING=1")
	return err
}

// recordingsAlone says that no receiver is live.
func recordingsAlone(c *stationfile.Config) bool {
	for _, r := range c.Receivers {
		if own, err := passbandOf(r, 0); err != nil || audio.IsLive(own.path) {
			return false
		}
	}
	return true
}

// passbandOf is how a receiver's source is opened; dialHz, if it is not 0, is where a tune command has put it.
func passbandOf(r stationfile.Receiver, dialHz float64) (ownPassband, error) {
	o := passbandOptions{sideband: r.Sideband}
	o.channels, o.channel, o.iq, o.dial = 1, r.Channel, r.IQ, frequency(r.DialHz)
	own, err := o.open(r.Source, os.Stdin)
	if err == nil && dialHz != 0 {
		own.opening.Dial = dialHz
	}
	return own, err
}

// checkReceiver says what is wrong with a receiver's source.
func checkReceiver(r stationfile.Receiver) error {
	own, err := passbandOf(r, 0)
	if err == nil && own.path == "-" {
		err = errors.New("standard input is no source of a station; use a device, rtp://, tcp:// or a file")
	}
	return err
}

// openReceiver opens a receiver's source.
func openReceiver(ctx context.Context, r stationfile.Receiver, dialHz float64) (*station.Input, error) {
	own, err := passbandOf(r, dialHz)
	if err != nil {
		return nil, err
	}
	p, err := openPassband(ctx, own.path, own.opening)
	if err != nil {
		return nil, err
	}
	return &station.Input{
		Path: own.path, SampleRate: p.SampleRate(), IQ: p.iq != nil, Live: audio.IsLive(own.path), Time: p.Time, TimeFrom: p.StartFrom,
		DialHz: p.Dial(), DialFrom: p.DialFrom(), Lower: own.sideband == "lower",
		Each: func(ctx context.Context, take func(station.Block)) error {
			if p.iq != nil {
				return p.iq.each(ctx, func(b []complex64) { take(station.Block{IQ: b, Lost: p.iq.lost}) })
			}
			return p.audio.each(ctx, func(b []float32) { take(station.Block{Audio: b, Lost: p.audio.lost}) })
		},
	}, nil
}
