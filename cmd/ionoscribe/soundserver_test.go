//go:build soundserver

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestSoundDevice records from a real sound server: PulseAudio with a sink that plays into nothing, into which a test
// signal is played and from whose monitor it is received. The server is the test's own. Needs the Debian packages
// pulseaudio and pulseaudio-utils.
func TestSoundDevice(t *testing.T) {
	dir := t.TempDir()
	socket := filepath.Join(dir, "socket")
	env := append(os.Environ(), "HOME="+dir, "XDG_RUNTIME_DIR="+dir, "XDG_CONFIG_HOME="+dir, "PULSE_SERVER=unix:"+socket)
	command := func(name string, args ...string) *exec.Cmd {
		c := exec.Command(name, args...)
		c.Env = env
		return c
	}
	server := command("pulseaudio", "-n", "--daemonize=no", "--system=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm=yes",
		"--load=module-null-sink sink_name=bench rate=48000 channels=2 sink_properties=device.description=Bench",
		"--load=module-native-protocol-unix auth-anonymous=1 socket="+socket)
	log := &lockedBuffer{}
	server.Stdout, server.Stderr = log, log
	must(t, server.Start())
	defer func() {
		server.Process.Signal(syscall.SIGTERM)
		server.Wait()
		if t.Failed() {
			t.Log(log.String())
		}
	}()
	wait(t, "the sound server", func() bool { return command("pactl", "info").Run() == nil })

	out, err := command(program, "rtty", "device:").Output()
	if err != nil || !strings.Contains(string(out), "device:Monitor of Bench\n") {
		t.Fatalf("devices: %v: %q", err, out)
	}

	const text = "PAN DE BENCH 0123456789 THE QUICK BROWN FOX"
	signal := filepath.Join(dir, "signal.wav")
	if out, err := command(program, "synth", "rtty", "--baud", "100", "--rate", "48000", "-o", signal, text).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	heard, errs := &lockedBuffer{}, &lockedBuffer{}
	receiver := command(program, "rtty", "--baud", "100", "device:monitor of bench")
	receiver.Stdout, receiver.Stderr = heard, errs
	must(t, receiver.Start())
	defer receiver.Process.Kill()
	wait(t, "recording", func() bool {
		out, err := command("pactl", "list", "short", "source-outputs").Output()
		return err == nil && len(bytes.TrimSpace(out)) > 0
	})
	if out, err := command("paplay", "--device=bench", signal).CombinedOutput(); err != nil {
		t.Fatalf("paplay: %v: %s", err, out)
	}
	wait(t, "the text", func() bool { return strings.Contains(heard.String(), text) })
	must(t, receiver.Process.Signal(os.Interrupt))
	err = receiver.Wait()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != statusInterrupted || errs.String() != "ionoscribe: interrupted\n" {
		t.Errorf("%v: %q", err, errs.String())
	}
}
