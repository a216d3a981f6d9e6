package audio

import (
	"errors"
	"fmt"
	"net"
)

// listenMulticast joins a group on the interface of a name, or on all that can carry one: by which of them a sender is
// reached, the route to the group does not tell.
func listenMulticast(group *net.UDPAddr, name string) (*net.UDPConn, error) {
	list, err := net.Interfaces()
	if err != nil {
		return nil, err
	}
	if list, err = multicastInterfaces(list, name); err != nil {
		return nil, err
	}
	var c *net.UDPConn
	var errs error
	for i := range list {
		var err error
		if c == nil {
			c, err = net.ListenMulticastUDP("udp", &list[i], group)
		} else {
			err = joinGroup(c, &list[i], group.IP)
		}
		if err != nil { // an interface may have no address of this kind
			errs = errors.Join(errs, fmt.Errorf("%s: %w", list[i].Name, err))
		}
	}
	if c == nil {
		return nil, errs
	}
	if err := onlyJoined(c, group.IP); err != nil {
		c.Close()
		return nil, err
	}
	return c, nil
}

// multicastInterfaces are those of a list on which a group is joined. The loopback interface, by which senders of this
// machine may send, has no flag that says it can.
func multicastInterfaces(list []net.Interface, name string) (use []net.Interface, err error) {
	for _, i := range list {
		if i.Name == name && name != "" {
			return []net.Interface{i}, nil
		}
		if name == "" && i.Flags&net.FlagUp != 0 && i.Flags&(net.FlagMulticast|net.FlagLoopback) != 0 {
			use = append(use, i)
		}
	}
	switch {
	case name != "":
		return nil, mended{fmt.Errorf("there is no interface %s", name), "check the name of the interface"}
	case use == nil:
		return nil, errors.New("no interface that is up takes multicast")
	}
	return use, nil
}

// address4 is an IPv4 address of an interface, by which some calls name it.
func address4(i *net.Interface) (a [4]byte, err error) {
	list, err := i.Addrs()
	if err != nil {
		return a, err
	}
	for _, v := range list {
		if n, ok := v.(*net.IPNet); ok && n.IP.To4() != nil {
			return [4]byte(n.IP.To4()), nil
		}
	}
	return a, fmt.Errorf("interface %s has no IPv4 address", i.Name)
}
