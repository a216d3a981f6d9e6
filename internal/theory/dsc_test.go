package theory

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"testing"

	"ionoscribe/rtty/dsc"
)

// The table against the bound of [unionBound], with the mean number of symbols that differ in so many elements.
func TestDSCTable(t *testing.T) {
	if *update {
		table := "E/N0 dB,symbols wrong\n"
		for db := 0.0; db <= 9; db += 0.5 {
			n := 100_000
			if db > 5.6 {
				n = 1_000_000
			}
			table += fmt.Sprintf("%g,%.4g\n", db, DSCSymbol(rand.New(rand.NewPCG(1, uint64(2*db))), math.Pow(10, db/10), n))
		}
		if err := os.WriteFile("dsc.csv", []byte(table), 0o666); err != nil {
			t.Fatal(err)
		}
		dscTable = table
	}
	others := map[int]float64{}
	for a := range dsc.Symbol(128) {
		for b := range dsc.Symbol(128) {
			if a != b {
				others[bits.OnesCount16(uint16(a.Code()^b.Code()))] += 1.0 / 128
			}
		}
	}
	curve := simulated("", dscTable, 1, 0.01)
	for db := 0.0; db <= 9; db++ {
		ratio := math.Pow(10, db/10)
		got, bound := curve.At(SNRdB(ratio, 0.01)), unionBound(ratio, others)
		if got > bound || db >= 7 && got < 0.5*bound {
			t.Errorf("%g dB: %.3g wrong, the bound is %.3g", db, got, bound)
		}
	}
	c := DSCCurves()[0]
	t.Logf("%s: 5 %% at %.2f dB in 2500 Hz, %.2g at -4 dB", c.Name, crossing(c, 0.05), c.At(-4))
}

// The table is what the simulation makes.
func TestDSCSimulation(t *testing.T) {
	const db, n = 5.0, 5000
	got := DSCSymbol(rand.New(rand.NewPCG(2, 2)), math.Pow(10, db/10), n)
	want := simulated("", dscTable, 1, 0.01).At(SNRdB(math.Pow(10, db/10), 0.01))
	if math.Abs(got-want) > 4*math.Sqrt(want/n) {
		t.Errorf("%.4f, want %.4f", got, want)
	}
}
