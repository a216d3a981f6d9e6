//go:build unix

package audio

import (
	"net"
	"runtime"
	"syscall"
)

// control calls f with the socket.
func control(c *net.UDPConn, f func(fd int) error) error {
	raw, err := c.SyscallConn()
	if err != nil {
		return err
	}
	var result error
	if err := raw.Control(func(fd uintptr) { result = f(int(fd)) }); err != nil {
		return err
	}
	return result
}

// joinGroup joins a group on one more interface.
func joinGroup(c *net.UDPConn, i *net.Interface, group net.IP) error {
	return control(c, func(fd int) error {
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

// onlyJoined keeps away what is sent to groups that other sockets have joined, which Linux delivers to all that listen on
// the port (ip(7) and ipv6(7): IP_MULTICAST_ALL, IPV6_MULTICAST_ALL; the numbers are those of linux/in.h and linux/in6.h).
func onlyJoined(c *net.UDPConn, group net.IP) error {
	if runtime.GOOS != "linux" {
		return nil
	}
	const all4, all6 = 49, 29
	return control(c, func(fd int) error {
		if group.To4() == nil {
			syscall.SetsockoptInt(fd, syscall.IPPROTO_IPV6, all6, 0) // since Linux 4.20
			return nil
		}
		return syscall.SetsockoptInt(fd, syscall.IPPROTO_IP, all4, 0)
	})
}

// sendBy has what is sent to groups leave by an interface.
func sendBy(c *net.UDPConn, i *net.Interface, group net.IP) error {
	return control(c, func(fd int) error {
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
