//go:build windows

package audio

import (
	"net"
	"syscall"
)

// control calls f with the socket.
func control(c *net.UDPConn, f func(fd syscall.Handle) error) error {
	raw, err := c.SyscallConn()
	if err != nil {
		return err
	}
	var result error
	if err := raw.Control(func(fd uintptr) { result = f(syscall.Handle(fd)) }); err != nil {
		return err
	}
	return result
}

// joinGroup joins a group on one more interface.
func joinGroup(c *net.UDPConn, i *net.Interface, group net.IP) error {
	return control(c, func(fd syscall.Handle) error {
		if group.To4() == nil {
			return syscall.SetsockoptIPv6Mreq(fd, syscall.IPPROTO_IPV6, syscall.IPV6_JOIN_GROUP,
				&syscall.IPv6Mreq{Multiaddr: [16]byte(group.To16()), Interface: uint32(i.Index)})
		}
		a, err := address4(i)
		if err != nil {
			return err
		}
		return syscall.SetsockoptIPMreq(fd, syscall.IPPROTO_IP, syscall.IP_ADD_MEMBERSHIP, &syscall.IPMreq{Multiaddr: [4]byte(group.To4()), Interface: a})
	})
}

// onlyJoined does nothing: no more is delivered. But what this machine sends is wanted too, which ListenMulticastUDP
// declines and Windows decides at the receiver (Winsock reference: IP_MULTICAST_LOOP).
func onlyJoined(c *net.UDPConn, group net.IP) error {
	return control(c, func(fd syscall.Handle) error {
		if group.To4() == nil {
			return syscall.SetsockoptInt(fd, syscall.IPPROTO_IPV6, syscall.IPV6_MULTICAST_LOOP, 1)
		}
		return syscall.SetsockoptInt(fd, syscall.IPPROTO_IP, syscall.IP_MULTICAST_LOOP, 1)
	})
}

// sendBy has what is sent to groups leave by an interface.
func sendBy(c *net.UDPConn, i *net.Interface, group net.IP) error {
	return control(c, func(fd syscall.Handle) error {
		if group.To4() == nil {
			return syscall.SetsockoptInt(fd, syscall.IPPROTO_IPV6, syscall.IPV6_MULTICAST_IF, i.Index)
		}
		a, err := address4(i)
		if err != nil {
			return err
		}
		return syscall.SetsockoptInet4Addr(fd, syscall.IPPROTO_IP, syscall.IP_MULTICAST_IF, a)
	})
}
