//go:build cgo

package audio

import (
	"bytes"
	"errors"
	"slices"
	"sync"
	"time"

	"github.com/gen2brain/malgo"
)

// soundSystems are those that are tried, in this order; the library would end with one that plays silence.
var soundSystems = []malgo.Backend{
	malgo.BackendWasapi, malgo.BackendCoreaudio, malgo.BackendPulseaudio, malgo.BackendAlsa, malgo.BackendJack,
	malgo.BackendSndio, malgo.BackendAudio4, malgo.BackendOss,
}

func openSound() (*malgo.AllocatedContext, error) {
	var c *malgo.AllocatedContext
	var err error
	quietly(func() { c, err = malgo.InitContext(soundSystems, malgo.ContextConfig{}, nil) })
	if err != nil {
		return nil, mended{errors.New("no sound system is running"), "start one, such as PulseAudio, or read a file or a pipe"}
	}
	return c, nil
}

func closeSound(c *malgo.AllocatedContext) {
	c.Uninit()
	c.Free()
}

func soundDevices() ([]soundDevice, error) {
	c, err := openSound()
	if err != nil {
		return nil, err
	}
	defer closeSound(c)
	all, _, err := listDevices(c)
	return all, err
}

func listDevices(c *malgo.AllocatedContext) (all []soundDevice, infos []malgo.DeviceInfo, err error) {
	quietly(func() { infos, err = c.Devices(malgo.Capture) })
	if err != nil {
		return nil, nil, err
	}
	infos = slices.DeleteFunc(infos, func(i malgo.DeviceInfo) bool { return string(bytes.TrimRight(i.ID[:], "\x00")) == silentID })
	for i := range infos {
		all = append(all, soundDevice{infos[i].Name(), infos[i].IsDefault != 0})
	}
	return all, infos, nil
}

// silentID is ALSA's name of a device that gives zeros.
const silentID = "null"

// startDevice records from a device, at its own rate and with all its channels if they are 0.
func startDevice(name string, rate float64, channels int) (f *deviceFeed, has int, err error) {
	sound, err := openSound()
	if err != nil {
		return nil, 0, err
	}
	var d *malgo.Device
	stop := sync.OnceFunc(func() {
		if d != nil {
			d.Uninit()
		}
		closeSound(sound)
	})
	defer func() {
		if err != nil {
			stop()
		}
	}()
	all, infos, err := listDevices(sound)
	if err != nil {
		return nil, 0, err
	}
	i, err := findDevice(all, name)
	if err != nil {
		return nil, 0, err
	}
	c := malgo.DefaultDeviceConfig(malgo.Capture)
	c.Capture.Format, c.Capture.Channels, c.SampleRate = malgo.FormatF32, uint32(channels), uint32(rate)
	if i >= 0 {
		c.Capture.DeviceID = infos[i].ID.Pointer()
	}
	hooks := malgo.DeviceCallbacks{ // called once the device is started, and f is there
		Data: func(_, in []byte, _ uint32) { f.push(in, time.Now()) },
		Stop: func() { f.end(mended{errors.New("the device has stopped"), "what came before has been read"}) },
	}
	quietly(func() { d, err = malgo.InitDevice(sound.Context, c, hooks) })
	if err != nil {
		return nil, 0, mended{err, "see that no other program holds the device, and leave out --rate and --channels"}
	}
	has = int(d.CaptureChannels())
	f = newDeviceFeed(float64(d.SampleRate()), encodings[F32].width*has)
	f.stop = stop
	if err = d.Start(); err != nil {
		return nil, 0, mended{err, "see that no other program holds the device"}
	}
	return f, has, nil
}
