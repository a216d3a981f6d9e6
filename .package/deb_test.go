//go:build installed

package main

import (
	"errors"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

const (
	installedUnit    = "/usr/lib/systemd/system/ionoscribe.service"
	installedFolder  = "/var/lib/ionoscribe"
	installedConfig  = "/etc/ionoscribe/station.toml"
	installedProgram = "/usr/bin/ionoscribe"
)

// The package is installed, run as its unit says, upgraded, removed and purged.
func TestDeb(t *testing.T) {
	for _, path := range []string{installedProgram, installedFolder, filepath.Dir(installedConfig)} {
		if _, err := os.Lstat(path); err == nil {
			t.Fatalf("%s is there already, and the test would remove it", path)
		}
	}
	deb := newest(t, "ionoscribe_*_amd64.deb")
	t.Cleanup(func() {
		exec.Command("dpkg", "--purge", "ionoscribe").Run()
		os.RemoveAll(installedFolder)
		exec.Command("deluser", "--quiet", "--system", "ionoscribe").Run()
	})
	order(t, "dpkg", "--install", deb)
	files(t)
	unit := unitOf(t)
	config, health := configuration(t, feed(t))
	must(t, os.WriteFile(installedConfig, []byte(config), 0o640))
	order(t, installedProgram, "watch", "--check", installedFolder)

	s := unit.start(t)
	s.told(t, "READY=1")
	s.told(t, "WATCHDOG=1")
	s.isWell(t, health)
	readsAsMember(t)
	s.stops(t)
	s.told(t, "STOPPING=1")

	order(t, "dpkg", "--install", deb) // an upgrade
	if text, err := os.ReadFile(installedConfig); err != nil || string(text) != config {
		t.Errorf("after an upgrade the configuration is %q, %v", text, err)
	}

	order(t, "dpkg", "--remove", "ionoscribe")
	gone(t, installedProgram, installedUnit)
	there(t, installedConfig, filepath.Join(installedFolder, "archive.db"))
	told := order(t, "dpkg", "--purge", "ionoscribe")
	gone(t, filepath.Dir(installedConfig), filepath.Join(installedFolder, "station.toml"))
	there(t, filepath.Join(installedFolder, "archive.db"))
	if _, err := user.Lookup("ionoscribe"); err != nil || !strings.Contains(told, installedFolder) {
		t.Errorf("the archive has no owner, or nothing was told of it: %v\n%s", err, told)
	}
	must(t, os.RemoveAll(installedFolder))

	// A station that never ran leaves nothing.
	order(t, "dpkg", "--install", deb)
	there(t, installedConfig)
	order(t, "dpkg", "--purge", "ionoscribe")
	gone(t, installedProgram, installedUnit, installedFolder, filepath.Dir(installedConfig))
	if _, err := user.Lookup("ionoscribe"); err == nil {
		t.Error("the user is still there")
	}
	if left := order(t, "dpkg-query", "--show", "--showformat", "${binary:Package} ${db:Status-Abbrev}\n"); strings.Contains(left, "ionoscribe") {
		t.Error("dpkg still knows it")
	}
}

// files checks what the package has and what it made.
func files(t *testing.T) {
	t.Helper()
	there(t, installedUnit, installedConfig, "/usr/share/doc/ionoscribe/copyright", "/usr/share/man/man1/ionoscribe-watch.1.gz",
		"/usr/share/bash-completion/completions/ionoscribe", "/usr/share/zsh/vendor-completions/_ionoscribe", "/usr/share/fish/vendor_completions.d/ionoscribe.fish")
	u, err := user.Lookup("ionoscribe")
	must(t, err)
	for path, want := range map[string]fs.FileMode{installedProgram: 0o755, installedUnit: 0o644, installedFolder: 0o750, installedConfig: 0o640} {
		fi, err := os.Stat(path)
		must(t, err)
		if fi.Mode().Perm() != want {
			t.Errorf("%s has mode %v", path, fi.Mode())
		}
		st := fi.Sys().(*syscall.Stat_t)
		if owner := strconv.Itoa(int(st.Uid)); (owner == u.Uid) != (path == installedFolder) {
			t.Errorf("%s belongs to %s", path, owner)
		}
	}
	if text, err := os.ReadFile("/usr/share/doc/ionoscribe/copyright"); err != nil || !strings.Contains(string(text), "modernc.org/sqlite") {
		t.Error("the terms of what is linked in are missing", err)
	}
	if text := order(t, installedProgram, "version"); !strings.Contains(text, ", commit ") {
		t.Error(text)
	}
	if text := order(t, "bash", "-c", ". /usr/share/bash-completion/completions/ionoscribe && complete -p ionoscribe"); !strings.Contains(text, "ionoscribe") {
		t.Error(text)
	}
	order(t, installedProgram, "watch", "--check", installedFolder)
	order(t, "systemd-analyze", "verify", "--man=no", installedUnit)
	// In tenths of a point; it is what the unit reaches.
	order(t, "systemd-analyze", "security", "--offline=true", "--no-pager", "--threshold=17", installedUnit)
}

func there(t *testing.T, paths ...string) {
	t.Helper()
	for _, path := range paths {
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
	}
}

func gone(t *testing.T, paths ...string) {
	t.Helper()
	for _, path := range paths {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s is still there", path)
		}
	}
}

// readsAsMember searches the archive, while the station writes it, as a user of its group who may not write it.
func readsAsMember(t *testing.T) {
	t.Helper()
	g, err := user.LookupGroup("ionoscribe")
	must(t, err)
	gid, err := strconv.Atoi(g.Gid)
	must(t, err)
	nobody, err := user.Lookup("nobody")
	must(t, err)
	uid, err := strconv.Atoi(nobody.Uid)
	must(t, err)
	c := exec.Command(installedProgram, "find", "--station", installedFolder)
	c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
	if text, err := c.CombinedOutput(); c.ProcessState.ExitCode() != 3 {
		t.Errorf("find: %v\n%s", err, text)
	}
}

// unit is what the test needs of the unit file.
type unit map[string]string

func unitOf(t *testing.T) unit {
	t.Helper()
	text, err := os.ReadFile(installedUnit)
	must(t, err)
	u := unit{}
	for _, line := range strings.Split(string(text), "\n") {
		if key, value, is := strings.Cut(line, "="); is && !strings.HasPrefix(line, "#") {
			u[key] = value
		}
	}
	if u["Type"] != "notify" || u["WatchdogSec"] == "" {
		t.Fatal(u)
	}
	return u
}

// service is a station that runs as the unit says, and tells its manager how it is.
type service struct {
	*runningStation
	messages chan string
}

// start does what systemd does, but for the hardening.
func (u unit) start(t *testing.T) service {
	t.Helper()
	path := filepath.Join(t.TempDir(), "notify")
	l, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: path, Net: "unixgram"})
	must(t, err)
	t.Cleanup(func() { l.Close() })
	for dir := path; dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		must(t, os.Chmod(dir, 0o777)) // the user of the unit has to reach it
	}
	s := service{messages: make(chan string, 100)}
	go func() {
		b := make([]byte, 1000)
		for {
			n, err := l.Read(b)
			if err != nil {
				return
			}
			s.messages <- string(b[:n])
		}
	}()
	args := strings.Fields(u["ExecStart"])
	owner, err := user.Lookup(u["User"])
	must(t, err)
	uid, err := strconv.Atoi(owner.Uid)
	must(t, err)
	ids := []uint32{}
	for _, name := range []string{u["Group"], u["SupplementaryGroups"]} {
		g, err := user.LookupGroup(name)
		must(t, err)
		id, err := strconv.Atoi(g.Gid)
		must(t, err)
		ids = append(ids, uint32(id))
	}
	mask, err := strconv.ParseUint(u["UMask"], 8, 32)
	must(t, err)
	c := exec.Command(args[0], args[1:]...)
	c.Dir = "/"
	// The watchdog is told twice in WatchdogSec, and the test does not wait so long.
	c.Env = []string{"NOTIFY_SOCKET=" + path, "WATCHDOG_USEC=1000000", "HOME=" + owner.HomeDir}
	c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: ids[0], Groups: ids[1:]}}
	old := syscall.Umask(int(mask))
	s.runningStation = start(t, c)
	syscall.Umask(old)
	return s
}

// told waits until the station has told its manager of a state.
func (s service) told(t *testing.T, state string) {
	t.Helper()
	late := time.After(time.Minute)
	for {
		select {
		case m := <-s.messages:
			if slices.Contains(strings.Split(m, "\n"), state) {
				return
			}
		case <-late:
			t.Fatalf("%s was not told", state)
		}
	}
}
