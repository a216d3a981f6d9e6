package grade

import (
	"context"
	"encoding/json"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// run makes the trials of a plan on some cores and returns them as JSON, and the lines of their table.
func (p FaxGrades) run(t *testing.T, cores int) (objects []string, table []string) {
	t.Helper()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
	var row FaxRow
	err := p.Run(t.Context(), func(g FaxGrade) {
		b, err := json.Marshal(g)
		if err != nil {
			t.Fatal(err)
		}
		objects = append(objects, string(b))
		if row = append(row, g); len(row) == p.Trials {
			table = append(table, row.String())
			row = nil
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return objects, table
}

// The grades are the same on any number of cores, and a trial does not depend on what else is in the plan.
func TestGradesFollowFromTheSeed(t *testing.T) {
	two, table := FaxGrades{SNRs: []float64{20, 10}, Lines: 20, Trials: 1, Seed: 5}.run(t, 4)
	one, _ := FaxGrades{SNRs: []float64{10}, Lines: 20, Trials: 1, Seed: 5}.run(t, 1)
	if len(two) != 4 || len(one) != 2 || two[1] != one[0] || two[3] != one[1] {
		t.Errorf("on four cores\n%s\non one\n%s", strings.Join(two, "\n"), strings.Join(one, "\n"))
	}
	for i, want := range []string{"dense         20 ", "dense         10 ", "lettering     20 ", "lettering     10 "} {
		if i >= len(table) || !strings.HasPrefix(table[i], want) || len(table[i]) != len(strings.Split(FaxHeader(false), "\n")[0]) {
			t.Errorf("table:\n%s\n%s", FaxHeader(false), strings.Join(table, "\n"))
			break
		}
	}
}

func TestGradesEndEarly(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := (FaxGrades{SNRs: []float64{10}, Lines: 100, Trials: 1}).Run(ctx, func(FaxGrade) {}); err != context.Canceled {
		t.Error(err)
	}
}

// Means and root mean squares by hand; a missed chart counts for the textbook receiver alone.
func TestRow(t *testing.T) {
	share := func(v float64) *float64 { return &v }
	row := FaxRow{
		{Picture: "lettering", SNR: -3, Fidelity: 10, Textbook: 2, PSNR: 20, SSIM: 0.5, Charts: 1, ClockPixels: 3, StartPixels: -0.1, Strays: 1, Misread: share(0.1), TextbookMisread: share(1)},
		{Picture: "lettering", SNR: -3, Fidelity: 12, Textbook: 2, PSNR: 22, SSIM: 0.75, Charts: 2, ClockPixels: -4, StartPixels: 0.1, Strays: 2, Misread: share(0.2), TextbookMisread: share(1)},
		{Picture: "lettering", SNR: -3, Missed: true, Textbook: 5, TextbookMisread: share(0.4)},
	}
	want := []string{"lettering", "-3", "11.0", "3.0", "+9.0", "21.0", "0.625", "3.54", "0.10", "1/3", "1/3", "1.5", "15.0", "80.0"}
	if got := strings.Fields(row.String()); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if w := len(strings.Split(FaxHeader(true), "\n")[0]); len(row.String()) != w {
		t.Errorf("the line is %d wide, the header %d", len(row.String()), w)
	}
	none := strings.Fields(row[2:].String())
	if want := []string{"lettering", "-3", "-", "5.0", "-", "-", "-", "-", "-", "1/1", "0/1", "-", "-", "40.0"}; !slices.Equal(none, want) {
		t.Errorf("%v, want %v", none, want)
	}
}
