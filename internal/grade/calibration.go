package grade

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
)

// binEdges divide confidences. They are closer where decoders are sure, for that is where most characters are.
var binEdges = [...]float64{0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.99, 1}

// Bin is what is known of characters whose confidences lie from From up to To.
type Bin struct {
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Heard int     `json:"heard"`
	Right int     `json:"right"` // those that the least edits of the message keep
	Sum   float64 `json:"sum"`   // of the confidences
}

// Calibration tells whether of the characters that are marked 0.9 nine in ten are right: a reliability diagram
// (Murphy and Winkler, "Reliability of subjective probability forecasts of precipitation and temperature", Applied
// Statistics 26, 1977) as a table. The zero value is empty.
type Calibration [len(binEdges) - 1]Bin

func (c *Calibration) add(confidence float64, right bool) {
	i := 0
	for i+2 < len(binEdges) && confidence >= binEdges[i+1] {
		i++
	}
	c[i].Heard++
	c[i].Sum += confidence
	if right {
		c[i].Right++
	}
}

// Add adds the characters of d.
func (c *Calibration) Add(d Calibration) {
	for i := range c {
		c[i].Heard += d[i].Heard
		c[i].Right += d[i].Right
		c[i].Sum += d[i].Sum
	}
}

// Bins are those that hold characters.
func (c Calibration) Bins() []Bin {
	bins := []Bin{}
	for i, b := range c {
		if b.Heard > 0 {
			b.From, b.To = binEdges[i], binEdges[i+1]
			bins = append(bins, b)
		}
	}
	return bins
}

// Off is by how much the confidences are wrong on the average: the difference between the mean confidence and the
// share of right characters, over the bins, each weighed by its characters (the expected calibration error of
// Naeini, Cooper and Hauskrecht, Proc. AAAI, 2015).
func (c Calibration) Off() float64 {
	off, heard := 0.0, 0
	for _, b := range c {
		off += math.Abs(b.Sum - float64(b.Right))
		heard += b.Heard
	}
	return off / float64(max(1, heard))
}

// MarshalJSON writes the bins that hold characters.
func (c Calibration) MarshalJSON() ([]byte, error) { return json.Marshal(c.Bins()) }

// String is a table of the bins; it is empty if no character was heard.
func (c Calibration) String() string {
	bins := c.Bins()
	if len(bins) == 0 {
		return ""
	}
	var s strings.Builder
	s.WriteString("confidence   characters   mean   right")
	for _, b := range bins {
		n := float64(b.Heard)
		fmt.Fprintf(&s, "\n%-12s %10d  %5.3f   %5.3f", fmt.Sprintf("%g to %g", b.From, b.To), b.Heard, b.Sum/n, float64(b.Right)/n)
	}
	fmt.Fprintf(&s, "\nthe confidences are off by %.3f on the average", c.Off())
	return s.String()
}
