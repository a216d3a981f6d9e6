package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/coder/websocket"

	"ionoscribe/copydesk"
	"ionoscribe/internal/archive"
	"ionoscribe/internal/live/livetest"
	"ionoscribe/internal/station"
)

// All of a hundred pages get every text of four receivers, each character once and in order.
func TestHundredPages(t *testing.T) {
	const pages, receivers, characters = 100, 4, 200
	s, address := localSite(t)
	ctx := t.Context()
	var all []*events
	for range pages {
		e := s.events(ctx, address, "")
		defer e.CloseNow()
		if v, _, err := e.next(ctx); err != nil || v.What != "hello" { // until then it may miss what is told
			t.Fatal(v, err)
		}
		all = append(all, e)
	}
	want := map[int64]string{}
	var telling, reading sync.WaitGroup
	for id := int64(1); id <= receivers; id++ {
		var text strings.Builder
		for i := range characters {
			text.WriteByte(byte('A' + (int64(i)*7+id)%26))
		}
		want[id] = text.String()
		telling.Go(func() {
			s.station.Tell(archive.ID(id), copydesk.Event{What: copydesk.Began})
			for _, r := range want[id] {
				s.station.Print(archive.ID(id), string(r))
				time.Sleep(time.Millisecond) // so that it is many messages
			}
		})
	}
	for i, e := range all {
		reading.Go(func() {
			got, left, last := map[int64]string{}, receivers*characters, int64(0)
			for left > 0 {
				v, _, err := e.next(ctx)
				if err != nil || last != 0 && v.Number != last+1 {
					t.Errorf("page %d: %s %d came after %d, %v", i, v.What, v.Number, last, err)
					return
				}
				last = v.Number
				got[v.ID] += v.text()
				left -= len(v.Chars)
			}
			for id := range want {
				if got[id] != want[id] {
					t.Errorf("page %d: %q instead of %q", i, got[id], want[id])
				}
			}
		})
	}
	telling.Wait()
	reading.Wait()
}

// Five hundred event streams open and close, in order and by being cut, and the next page is served.
func TestManySockets(t *testing.T) {
	s, address := localSite(t)
	const atOnce, times = 50, 10
	var all sync.WaitGroup
	for i := range atOnce {
		all.Go(func() {
			for range times {
				e := s.events(t.Context(), address, "")
				if v, _, err := e.next(t.Context()); err != nil || v.What != "hello" {
					t.Errorf("%+v, %v", v, err)
				}
				e.say(t.Context(), `{"want":{"levels":true}}`)
				if i%2 == 0 {
					e.Close(websocket.StatusNormalClosure, "")
				} else {
					e.CloseNow()
				}
			}
		})
	}
	all.Wait()
	r, err := s.client.Get("http://" + address + "/api/session")
	must(t, err)
	r.Body.Close()
	if r.StatusCode != http.StatusOK {
		t.Error(r.Status)
	}
}

// A page whose connection is cut again and again gets each character once and in order.
func TestCut(t *testing.T) {
	s, address := localSite(t)
	random := rand.New(rand.NewPCG(1, 2))
	s.station.Tell(7, copydesk.Event{What: copydesk.Began})
	var want strings.Builder
	for i := range 300 {
		fmt.Fprint(&want, i, " ")
	}
	var telling sync.WaitGroup
	defer telling.Wait()
	e := s.events(t.Context(), address, "")
	v, _, err := e.next(t.Context())
	must(t, err)
	last := v.Number
	telling.Go(func() {
		for i := range 300 {
			s.station.Tell(7, copydesk.Event{What: copydesk.Changed})
			s.station.Print(7, fmt.Sprint(i, " "))
			time.Sleep(time.Millisecond)
		}
	})
	var got strings.Builder
	cuts := 0
	for got.Len() < want.Len() {
		v, _, err := e.next(t.Context())
		must(t, err)
		switch {
		case v.What == "hello" && (!v.Resumed || v.Number != last):
			t.Fatalf("%+v after %d", v, last)
		case v.What != "hello" && v.Number != last+1:
			t.Fatalf("%d after %d", v.Number, last)
		}
		last = v.Number
		got.WriteString(v.text())
		if random.IntN(20) == 0 {
			e.CloseNow()
			e = s.events(t.Context(), address, fmt.Sprint("?after=", last))
			cuts++
		}
	}
	e.CloseNow()
	if got.String() != want.String() || cuts < 5 {
		t.Errorf("%d characters of %d, %d cuts", got.Len(), want.Len(), cuts)
	}
}

// Rows and levels come if they are wanted, and as long as they are.
func TestWants(t *testing.T) {
	s, address := localSite(t)
	s.station.SetStatus(station.Status{Name: "north", Connected: true, Rate: 12000})
	e := s.events(t.Context(), address, "")
	defer e.CloseNow()
	in := &station.Input{SampleRate: 12000, Time: func(int64) time.Time { return livetest.Begin }}
	ctx, cancel := context.WithCancel(t.Context())
	var sounding sync.WaitGroup
	defer sounding.Wait()
	defer cancel()
	sounding.Go(func() {
		for i := int64(0); ctx.Err() == nil; i++ {
			s.station.Samples("north", in, 1200*i, station.Block{Audio: make([]float32, 1200)})
			time.Sleep(time.Millisecond)
		}
	})
	e.say(ctx, `{"want":{"spectrum":["north"],"levels":true}}`)
	rows := 0
	for levels := 0; rows < 5 || levels == 0; {
		v, n, err := e.next(ctx)
		must(t, err)
		rows += n
		if v.What == "levels" {
			levels++
		}
	}
	for _, wrong := range []string{`{`, `{"want":1}`, `{}`, strings.Repeat(" ", mostAsked+1)} {
		e := s.events(ctx, address, "")
		e.say(ctx, wrong)
		var err error
		for err == nil {
			_, _, err = e.next(ctx)
		}
		if code := websocket.CloseStatus(err); code != websocket.StatusUnsupportedData && code != websocket.StatusMessageTooBig {
			t.Errorf("%.20s: %v", wrong, err)
		}
	}
}

// A page that reads nothing is closed, and comes back. The station's side never waits for it, although its connection holds not a
// byte: not a moment of the test's clock passes while thousands of messages are told.
func TestPageThatDoesNotRead(t *testing.T) {
	_, c := smallStation(t)
	synctest.Test(t, func(t *testing.T) {
		l := newPipes()
		s := newSite(t, c, l, l.dial)
		defer s.stop()
		tell := func() {
			began := time.Now()
			for i := range 6000 {
				s.station.Tell(0, copydesk.Event{What: copydesk.Trouble, Err: fmt.Errorf("trouble %d", i)})
			}
			if d := time.Since(began); d != 0 {
				t.Errorf("the station waited for %v", d)
			}
		}
		dead := s.raw(t, l) // which never reads again
		tell()
		time.Sleep(time.Minute)
		discard(dead) // it ends: the server has closed it

		// One that is too slow is told so, when it reads.
		slow := s.events(t.Context(), "127.0.0.1:8073", "")
		synctest.Wait()
		tell()
		var err error
		for err == nil {
			_, _, err = slow.next(t.Context())
		}
		if websocket.CloseStatus(err) != websocket.StatusTryAgainLater {
			t.Error(err)
		}
		slow.CloseNow()
		again := s.events(t.Context(), "127.0.0.1:8073", "")
		if v, _, err := again.next(t.Context()); err != nil || v.What != "hello" {
			t.Errorf("%+v, %v", v, err)
		}
		again.CloseNow()
	})
}

// A page that reads, but does not answer when it is asked whether it is there, is gone.
func TestPageThatIsGone(t *testing.T) {
	_, c := smallStation(t)
	synctest.Test(t, func(t *testing.T) {
		l := newPipes()
		s := newSite(t, c, l, l.dial)
		defer s.stop()
		began := time.Now()
		discard(s.raw(t, l))
		if d := time.Since(began); d > 2*pingEvery+time.Second {
			t.Errorf("it was served for %v", d)
		}
	})
}

// A page that is there, but says nothing for an hour, stays.
func TestQuietPage(t *testing.T) {
	_, c := smallStation(t)
	synctest.Test(t, func(t *testing.T) {
		l := newPipes()
		s := newSite(t, c, l, l.dial)
		defer s.stop()
		e := s.events(t.Context(), "127.0.0.1:8073", "")
		defer e.CloseNow()
		texts := 0
		ctx, cancel := context.WithTimeout(t.Context(), 2*time.Hour)
		defer cancel()
		go func() {
			time.Sleep(time.Hour)
			s.station.Tell(7, copydesk.Event{What: copydesk.Began})
		}()
		for {
			v, _, err := e.next(ctx)
			if errors.Is(err, context.DeadlineExceeded) {
				break
			}
			must(t, err)
			if v.What == "began" {
				texts++
				break
			}
		}
		if texts != 1 {
			t.Error("what happened after an hour was not told")
		}
	})
}

// The sound of a receiver is a WAV that goes on: silence as time goes while the receiver gives nothing.
func TestSound(t *testing.T) {
	_, c := smallStation(t)
	synctest.Test(t, func(t *testing.T) {
		l := newPipes()
		s := newSite(t, c, l, l.dial)
		defer s.stop()
		s.station.SetStatus(station.Status{Name: "north", Connected: true, Rate: 12000, DialHz: 5e6})
		r, err := s.client.Get("http://127.0.0.1:8073/api/receivers/north/sound?low_hz=5000900&high_hz=5001100")
		must(t, err)
		defer r.Body.Close()
		if r.StatusCode != http.StatusOK || r.Header.Get("Content-Type") != "audio/wav" || r.Header.Get("Cache-Control") != "no-store" {
			t.Fatal(r.Status, r.Header)
		}
		head := make([]byte, 80)
		_, err = io.ReadFull(r.Body, head)
		must(t, err)
		if !strings.HasPrefix(string(head), "RIFF\xff\xff\xff\xffWAVE") || !strings.HasSuffix(string(head), "data\xff\xff\xff\xff") {
			t.Errorf("%q", head)
		}
		began := time.Now()
		const seconds = 60
		n, err := io.CopyN(io.Discard, r.Body, 24000*seconds)
		if took := time.Since(began).Seconds(); err != nil || took < seconds-2 || took > seconds+2 {
			t.Errorf("%d bytes in %.1f s, %v", n, took, err)
		}
	})
}
