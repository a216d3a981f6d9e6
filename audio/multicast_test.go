package audio

import (
	"fmt"
	"net"
	"slices"
	"strings"
	"testing"
	"time"
)

// A group is joined on what is up and takes multicast, or is the loopback interface.
func TestMulticastInterfaces(t *testing.T) {
	list := []net.Interface{
		{Name: "loop", Flags: net.FlagUp | net.FlagLoopback}, {Name: "down", Flags: net.FlagMulticast},
		{Name: "wire", Flags: net.FlagUp | net.FlagMulticast}, {Name: "line", Flags: net.FlagUp | net.FlagPointToPoint},
		{Name: "air", Flags: net.FlagUp | net.FlagMulticast | net.FlagBroadcast},
	}
	for _, c := range []struct {
		list  []net.Interface
		name  string
		want  string
		fails bool
	}{{list, "", "loop wire air", false}, {list, "line", "line", false}, {list, "none", "", true}, {list[1:2], "", "", true}} {
		use, err := multicastInterfaces(c.list, c.name)
		var names []string
		for _, i := range use {
			names = append(names, i.Name)
		}
		if got := strings.Join(names, " "); got != c.want || (err != nil) != c.fails {
			t.Errorf("%q: %s, %v", c.name, got, err)
		}
	}
}

// What a Sender sends to a group by any interface comes back through the socket that has joined it, and what goes to
// another group on the same port does not.
func TestMulticast(t *testing.T) {
	probe, err := net.ListenUDP("udp4", nil)
	if err != nil {
		t.Fatal(err)
	}
	port := probe.LocalAddr().(*net.UDPAddr).Port
	probe.Close()
	var groups [2]string // of the range for use within a site (RFC 2365 section 6.2)
	var conns [2]udp
	for i := range groups {
		groups[i] = fmt.Sprintf("rtp://239.192.77.%d:%d", 10+i, port)
		if conns[i], err = listenUDP(groups[i], nil); err != nil {
			t.Fatal(err)
		}
		defer conns[i].Close()
	}
	list, err := net.Interfaces()
	if err != nil {
		t.Fatal(err)
	}
	if list, err = multicastInterfaces(list, ""); err != nil {
		t.Fatal(err)
	}
	reached, sent := 0, 0
	for _, i := range list {
		failed := false
		var want [2][]byte
		for g, group := range groups {
			w, err := newSender(group+"?interface="+i.Name, 12000, false, &testClock{began})
			if err == nil {
				err = w.WriteSamples(make([]float32, 240))
				want[g] = slices.Clone(w.packet[:w.begin])
				w.Close()
			}
			if err != nil {
				t.Logf("%s: %v", i.Name, err)
				failed = true
			}
		}
		if failed {
			continue
		}
		sent++
		for g := range groups {
			buf := make([]byte, 2000)
			n, _, _, err := conns[g].receive(buf, 2*time.Second)
			if err != nil {
				t.Logf("%s: %v", i.Name, err)
				continue
			}
			if n != 12+480 || !slices.Equal(buf[:12], want[g]) {
				t.Errorf("%s: %d bytes %x, want %x", i.Name, n, buf[:min(n, 12)], want[g])
			}
			reached++
			if n, _, _, err := conns[g].receive(buf, 50*time.Millisecond); err == nil {
				t.Errorf("%s: %d bytes more", i.Name, n)
			}
		}
	}
	t.Logf("%d interfaces, sent by %d, received %d packets", len(list), sent, reached)
	if sent > 0 && reached == 0 {
		t.Error("nothing was received")
	}
}
