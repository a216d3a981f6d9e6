package archive

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// printedLine is a line of characters of which those between ⌊ and ⌋ have a low confidence.
func printedLine(number int, text string) Line {
	l := Line{Number: number}
	confidence := 0.97
	for _, r := range text {
		switch r {
		case '⌊':
			confidence = 0.3
		case '⌋':
			confidence = 0.97
		default:
			l.Chars = append(l.Chars, Char{At: noon.Add(time.Duration(len(l.Chars)) * time.Second), Text: string(r), Confidence: confidence})
		}
	}
	l.Text = textOf(l.Chars)
	return l
}

func TestMatches(t *testing.T) {
	text := []Line{
		printedLine(0, "Gale warning, Ostrel sea; GAXE?"),
		printedLine(1, "wind G⌊X⌋LE in the Süd"),
		printedLine(2, "GA⌊ ⌋LE   𝄞 gale"),
	}
	for query, want := range map[string][]string{
		"gale":                {"0 Gale", "2 gale"},
		"sud":                 {"1 Süd"},
		"~gale":               {"0 Gale", "1 GXLE=gale", "2 GA LE=gale", "2 gale"},
		`"gale warning"`:      {"0 Gale warning"},
		`"gaxe wind"`:         {"0 GAXE"}, // the phrase goes on in the next line
		"warn* sea -quiet":    {"0 warning", "0 sea"},
		"gale ~gale":          {"0 Gale", "1 GXLE=gale", "2 GA LE=gale", "2 gale"},
		`"ostrel sea" ostre*`: {"0 Ostrel sea"},
		"-gale":               nil,
		"":                    nil,
	} {
		all, err := Matches(query, text)
		must(t, err)
		var got []string
		for i, l := range text {
			for _, m := range all[i] {
				s := fmt.Sprint(i, " ", l.Text[m.From:m.To])
				if m.MayBe != "" {
					s += "=" + m.MayBe
				}
				got = append(got, s)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", query, got, want)
		}
	}
	if _, err := Matches(`"gale`, text); err == nil {
		t.Error("a phrase without an end")
	}
	o := text[2].Object()
	all, err := Matches("~gale", text)
	must(t, err)
	o.Mark(all[2])
	if want := [][2]int{{0, 5}, {11, 15}}; !slices.Equal(o.Matches, want) || !slices.Equal(o.MayBe, []string{"gale", ""}) { // the clef has two units
		t.Errorf("%v %q", o.Matches, o.MayBe)
	}
}
