package station

import (
	"context"
	"net"
	"os"
	"strconv"
	"time"
)

// Notify tells systemd, if it wants to know, a state such as READY=1 (sd_notify(3)): a datagram to the socket that the environment
// names.
func Notify(state string) error {
	path := os.Getenv("NOTIFY_SOCKET")
	if path == "" {
		return nil
	}
	c, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: path, Net: "unixgram"})
	if err != nil {
		return err
	}
	defer c.Close()
	_, err = c.Write([]byte(state))
	return err
}

// Watchdog tells systemd's watchdog, as often as it asks to be told, that the station lives, as long as well says so; it ends with
// ctx.
func Watchdog(ctx context.Context, well func() bool) {
	micros, err := strconv.ParseInt(os.Getenv("WATCHDOG_USEC"), 10, 64)
	if err != nil || micros <= 0 {
		return
	}
	tick := time.NewTicker(time.Duration(micros) * time.Microsecond / 2) // as sd_watchdog_enabled(3) recommends
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if well() {
				Notify("WATCHDOG=1")
			}
		}
	}
}
