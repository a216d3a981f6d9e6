package cw_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

func env(name string, def float64) float64 {
	if v, err := strconv.ParseFloat(os.Getenv(name), 64); err == nil {
		return v
	}
	return def
}

func groups(n int, seed uint64) string {
	rng := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	for i := range n {
		if i%6 == 5 && i < n-1 {
			b.WriteByte(' ')
			continue
		}
		b.WriteByte("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"[rng.IntN(36)])
	}
	return b.String()
}

func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		d := row[0]
		row[0]++
		for j := range y {
			v := d
			if x[i] != y[j] {
				v++
			}
			d = row[j+1]
			row[j+1] = min(v, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(y)]
}

func TestLab(t *testing.T) {
	if os.Getenv("LAB") == "" {
		return
	}
	cw.Debug(func(f string, a ...any) { t.Logf(f, a...) })
	total, errors := 0, 0
	hist := map[int][3]float64{}
	var spent time.Duration
	audio := 0.0
	for seed := range uint64(env("TRIALS", 3)) {
		text := groups(int(env("LENGTH", 300)), seed+100)
		c := samples.CWConfig{Text: text, SampleRate: 12000, WPM: env("WPM", 20), PitchHz: 500 + 37.3*float64(seed%20), Seed: seed}
		if s := env("STEP", 0); s > 0 {
			c.Speeds = []samples.CWSpeed{{At: len(text) / 2, WPM: s}}
		}
		c.Sender = samples.CWSender(env("SENDER", 0))
		c.DriftHzPerSecond = env("DRIFT", 0)
		c.WeightPercent = env("WEIGHT", 0)
		c.DashRatio = env("RATIO", 0)
		c.FarnsworthWPM = env("FARNS", 0)
		s, err := samples.NewCW(c)
		if err != nil {
			t.Fatal(err)
		}
		p := samples.Path{Noise: &samples.NoiseConfig{SNRdB: env("SNR", 0)}, Seed: seed}
		if ch := os.Getenv("CHANNEL"); ch != "" {
			f, err := samples.FindChannel(ch)
			if err != nil {
				t.Fatal(err)
			}
			fc := f.Fading(seed)
			p.Fading = &fc
		}
		r, err := p.Through(s, s.Power())
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		var bins [20][2]int
		_ = bins
		d, err := cw.New(cw.Config{SampleRate: 12000}, cw.Events{Char: func(ch cw.Char) {
			b.WriteString(ch.Text)
			h := hist[int(ch.Confidence*10)]
			h[0]++
			h[1] += ch.Confidence
			hist[int(ch.Confidence*10)] = h
		}, State: func(s cw.State) { t.Logf("%+v", s) }})
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Now()
		d.Write(x)
		d.Flush()
		spent += time.Since(begin)
		audio += float64(len(x)) / 12000
		e := distance(text, b.String())
		total += len(text)
		errors += min(e, len(text))
		if os.Getenv("SHOW") != "" || e > len(text)/4 {
			fmt.Println(text)
			fmt.Println(b.String())
		}
		fmt.Printf("seed %d: %d errors of %d\n", seed, e, len(text))
	}
	for i := range 11 {
		if h := hist[i]; h[0] > 0 {
			fmt.Printf("%.2f:%.0f  ", h[1]/h[0], h[0])
		}
	}
	fmt.Printf("CER %.2f %%, %.0f x real time\n", 100*float64(errors)/float64(total), audio/spent.Seconds())
}
