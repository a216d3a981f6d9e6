package rtty

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

const pictures = "␁␂␃␄␅␆␇␈␉␋␌␎␏␐␑␒␓␔␕␖␗␘␙␚␛␜␝␞␟"

func ascii() string {
	var b strings.Builder
	for r := ' '; r < 0x7f; r++ {
		b.WriteRune(r)
	}
	return b.String() + pictures
}

// all are the characters of each alphabet (ITU-T S.1, T.50).
var all = map[Alphabet]string{
	ITA2:   "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789.,:?'+-/=()␇␅",
	ITA2US: "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789.,:?'-/()$!&#\";␇",
	ASCII7: ascii(), ASCII8: ascii(),
}

// Every pair of characters of each alphabet is printed again, from either shift.
func TestRoundTrip(t *testing.T) {
	for a, characters := range all {
		var b strings.Builder
		for _, r := range characters {
			for _, q := range characters {
				b.WriteRune(r)
				b.WriteRune(q)
			}
		}
		text := b.String()
		for _, unshift := range []bool{false, true} {
			codes, err := Encoder{Alphabet: a, ShiftAfterSpace: unshift}.Encode(text)
			if err != nil {
				t.Fatal(err)
			}
			for _, shift := range []Shift{Letters, Figures} {
				if got := print(Printer{Alphabet: a, UnshiftOnSpace: unshift, Shift: shift}, codes); got != text {
					t.Errorf("%v, unshift %v: %.80q, want %.80q", a, unshift, got, text)
				}
			}
		}
	}
}

// The codes written out with the pattern table of ITU-T S.1, as sent.
func TestEncode(t *testing.T) {
	patterns := map[string]string{"LTRS": "11111", "FIGS": "11011", "CR": "00010", "LF": "01000", "SP": "00100",
		"A": "11000", "B": "10011", "R": "01010", "Y": "10101", "1": "11101", "2": "11001", "bell": "11010", "WRU": "10010", "USbell": "10100"}
	for _, c := range []struct {
		e          Encoder
		text, want string
	}{
		{Encoder{}, "RYry", "LTRS R Y R Y"},
		{Encoder{}, "A12 2B", "LTRS A FIGS 1 2 SP 2 LTRS B"},
		{Encoder{ShiftAfterSpace: true}, "A12 2B", "LTRS A FIGS 1 2 SP FIGS 2 LTRS B"},
		{Encoder{ShiftAfterSpace: true}, "A A 1 \nA", "LTRS A SP A SP FIGS 1 SP CR LF LTRS A"},
		{Encoder{}, "A\nA\r\nA\r\r\n\r", "LTRS A CR LF A CR LF A CR CR LF CR"},
		{Encoder{DoubleReturn: true}, "\nA\r\nA\r\r\n", "CR CR LF LTRS A CR CR LF A CR CR LF"},
		{Encoder{Replace: '1'}, "A#é", "LTRS A FIGS 1 1"},
		{Encoder{}, "\a␇\x05␅", "FIGS bell bell WRU WRU"},
		{Encoder{Alphabet: ITA2US}, "\a", "FIGS USbell"},
		{Encoder{}, "", ""},
	} {
		var want []Code
		for _, name := range strings.Fields(c.want) {
			var code Code
			for i, element := range patterns[name] {
				code |= Code(element-'0') << i
			}
			want = append(want, code)
		}
		if got, err := c.e.Encode(c.text); err != nil || !slices.Equal(got, want) {
			t.Errorf("%+v, %q: %05b, %v; want %05b", c.e, c.text, got, err, want)
		}
	}
}

func TestEncodeErrors(t *testing.T) {
	for _, c := range []struct {
		e          Encoder
		text, want string
	}{
		{Encoder{}, "A#B", `radioteletype: ITA2 has no '#', which is at byte 1 of the text`},
		{Encoder{Alphabet: ITA2US}, "=", `radioteletype: ITA2 (US) has no '=', which is at byte 0 of the text`},
		{Encoder{Alphabet: ASCII7}, "aé", `radioteletype: 7-unit ASCII has no 'é', which is at byte 1 of the text`},
		{Encoder{Replace: '#'}, "\xff", `radioteletype: ITA2 has no '�', which is at byte 0 of the text`},
		{Encoder{Replace: -1}, "\x00", `radioteletype: ITA2 has no '\x00', which is at byte 0 of the text`},
		{Encoder{Alphabet: 4}, "A", `radioteletype: unknown alphabet 4`},
	} {
		if codes, err := c.e.Encode(c.text); err == nil || err.Error() != c.want || codes != nil {
			t.Errorf("%+v, %q: %v, %v", c.e, c.text, codes, err)
		}
	}
}

// What can be sent is printed as it was meant, by a printer of either habit.
func FuzzEncode(f *testing.F) {
	f.Add("CQ 599 01, TEST\r\nA\n", uint8(0), false)
	f.Add("$ 1\r\r\n#\x00\xff", uint8(3), true)
	f.Fuzz(func(t *testing.T, text string, alphabet uint8, double bool) {
		e := Encoder{Alphabet: Alphabet(alphabet % 4), DoubleReturn: double, ShiftAfterSpace: true, Replace: '?'}
		codes, err := e.Encode(text)
		if err != nil {
			t.Fatal(err)
		}
		if len(codes) > 3*utf8.RuneCountInString(text) {
			t.Errorf("%d codes", len(codes))
		}
		var want strings.Builder // but for returns and fillers
		for _, r := range text {
			switch {
			case r == '\r' || e.Alphabet.Units() > 5 && (r == 0 || r == 0x7f):
			case r < ' ' && r != '\n' && e.Alphabet.Units() > 5:
				want.WriteRune(r + 0x2400)
			case r == '\a':
				want.WriteRune('␇')
			case r == 5 && e.Alphabet == ITA2:
				want.WriteRune('␅')
			case r == '\n' || strings.ContainsRune(all[e.Alphabet], unicode.ToUpper(r)) && r <= 0x7f && e.Alphabet.Units() == 5:
				want.WriteRune(unicode.ToUpper(r))
			case strings.ContainsRune(all[e.Alphabet], r):
				want.WriteRune(r)
			default:
				want.WriteRune('?')
			}
		}
		for _, unshift := range []bool{false, true} {
			got := strings.ReplaceAll(print(Printer{Alphabet: e.Alphabet, UnshiftOnSpace: unshift}, codes), "\r", "")
			if got != want.String() {
				t.Fatalf("%v: %q is printed as %q, want %q", e.Alphabet, text, got, want.String())
			}
		}
	})
}
