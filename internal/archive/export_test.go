package archive

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

func exported(t *testing.T, a *Archive, f Form, q Query) (string, int) {
	t.Helper()
	var b strings.Builder
	n, err := a.Export(context.Background(), &b, f, q)
	must(t, err)
	return b.String(), n
}

// exportable is an archive with a text, a chart, and calls in Morse.
func exportable(t *testing.T) *Archive {
	a := open(t, t.TempDir())
	hear(a, "north", "rtty", noon, "GALE, \"WARNING\"\n=OSTREL ⌊S⌋EA")
	hearChart(t, a, "south", "Surface <analysis>", noon.Add(time.Hour))
	hz := 7.0123e6
	id := a.Begin(Transmission{Receiver: "north", Mode: "cw", OnAir: true, Hz: hz, Begun: noon.Add(2 * time.Hour), SNR: 11, Copied: true})
	tell(a, id, noon.Add(2*time.Hour), "CQ CQ DE ZZ9ABC ZZ9ABC K\nZZ9ABC DE 9Q⌊Z⌋AA DE XA1B/P UR 599 DE HERE")
	a.End(id, noon.Add(3*time.Hour))
	flush(t, a)
	return a
}

func TestExportText(t *testing.T) {
	got, n := exported(t, exportable(t), AsText, Query{})
	want := `2031-05-04T12:00:00Z  7878.10 kHz  rtty, 50 Bd, shift 450 Hz  north  SNR 12.5 dB
2031-05-04T12:00:00Z  GALE, "WARNING"
2031-05-04T12:00:02Z  =OSTREL SEA

2031-05-04T13:00:00Z  7878.10 kHz  fax, IOC 576, 120 lines/min  south  SNR 20.0 dB
Surface <analysis>
2031-05-04T13:00:00Z  2031/05/04/20310504T130000Z-120-576.png

2031-05-04T14:00:00Z  7012.30 kHz  cw  north  SNR 11.0 dB
2031-05-04T14:00:00Z  CQ CQ DE ZZ9ABC ZZ9ABC K
2031-05-04T14:00:03Z  ZZ9ABC DE 9QZAA DE XA1B/P UR 599 DE HERE
`
	if got != want || n != 3 {
		t.Errorf("%d\n%s", n, got)
	}
	if got, n := exported(t, exportable(t), AsText, Query{Words: "nothing"}); got != "" || n != 0 {
		t.Errorf("%q %d", got, n)
	}
}

// The table is read by another reader of RFC 4180.
func TestExportCSV(t *testing.T) {
	got, _ := exported(t, exportable(t), AsCSV, Query{})
	if strings.Count(got, "\r\n") != strings.Count(got, "\n") {
		t.Error("lines do not end with CR LF (RFC 4180, section 2)")
	}
	rows, err := csv.NewReader(strings.NewReader(got)).ReadAll()
	must(t, err)
	if len(rows) != 1+2+1+2 {
		t.Fatalf("%d rows", len(rows))
	}
	cell := func(row int, column string) string {
		for i, name := range rows[0] {
			if name == column {
				return rows[row][i]
			}
		}
		t.Fatal(column)
		return ""
	}
	if cell(1, "text") != `GALE, "WARNING"` || cell(2, "text") != " =OSTREL SEA" || cell(1, "frequency_hz") != "7878100.0" || cell(1, "begin_utc") != "2031-05-04T12:00:00Z" ||
		cell(3, "title") != "Surface <analysis>" || cell(3, "picture") != "2031/05/04/20310504T130000Z-120-576.png" || cell(3, "quality") != "0.700" {
		t.Errorf("%q", rows)
	}
}

func TestExportJSON(t *testing.T) {
	got, _ := exported(t, exportable(t), AsJSON, Query{})
	lines := strings.Split(strings.TrimSpace(got), "\n")
	if len(lines) != 3 {
		t.Fatal(got)
	}
	var text struct {
		Mode string  `json:"mode"`
		Hz   float64 `json:"hz"`
		Text []struct {
			Text       string `json:"text"`
			Characters []struct {
				Text       string  `json:"text"`
				UTC        string  `json:"utc"`
				Confidence float64 `json:"confidence"`
			} `json:"characters"`
		} `json:"text"`
		Levels []struct {
			SNR float64 `json:"snr_db"`
		} `json:"levels"`
	}
	must(t, json.Unmarshal([]byte(lines[0]), &text))
	if text.Mode != "rtty" || text.Hz != 7878100 || len(text.Text) != 2 || text.Text[1].Text != "=OSTREL SEA" || len(text.Levels) != 1 {
		t.Errorf("%+v", text)
	}
	if c := text.Text[1].Characters[8]; c.Text != "S" || c.Confidence != 0.3 || c.UTC != "2031-05-04T12:00:02.400Z" {
		t.Errorf("%+v", c)
	}
	var chart struct {
		Charts []struct {
			Picture string `json:"picture"`
			Info    struct {
				IOC int `json:"ioc"`
			} `json:"info"`
		} `json:"charts"`
	}
	must(t, json.Unmarshal([]byte(lines[1]), &chart))
	if len(chart.Charts) != 1 || chart.Charts[0].Info.IOC != 576 {
		t.Errorf("%+v", chart)
	}
}

// adifFields takes ADI apart by its lengths alone, as its readers do.
func adifFields(s string) (records []map[string]string, err error) {
	record := map[string]string{}
	for {
		_, rest, ok := strings.Cut(s, "<")
		if !ok {
			return records, nil
		}
		tag, rest, ok := strings.Cut(rest, ">")
		if !ok {
			return records, errors.New("a tag does not end")
		}
		s = rest
		switch strings.ToUpper(tag) {
		case "EOH":
			record = map[string]string{}
			continue
		case "EOR":
			records = append(records, record)
			record = map[string]string{}
			continue
		}
		name, length, _ := strings.Cut(tag, ":")
		n, err := strconv.Atoi(length)
		if err != nil || n > len(s) {
			return records, errors.New("bad length in " + tag)
		}
		record[name], s = s[:n], s[n:]
	}
}

// Stations are those behind DE, surely printed; a record has the fields that a log needs.
func TestExportADIF(t *testing.T) {
	got, _ := exported(t, exportable(t), AsADIF, Query{})
	if strings.HasPrefix(got, "<") || !strings.Contains(got, "<ADIF_VER:5>3.1.4") {
		t.Errorf("%q", got)
	}
	records, err := adifFields(got)
	must(t, err)
	if len(records) != 2 {
		t.Fatalf("%q", records)
	}
	for name, want := range map[string]string{"CALL": "ZZ9ABC", "QSO_DATE": "20310504", "TIME_ON": "140000", "FREQ": "7.012300", "BAND": "40m", "MODE": "CW", "SWL": "Y"} {
		if records[0][name] != want {
			t.Errorf("%s: %q, want %q", name, records[0][name], want)
		}
	}
	if records[1]["CALL"] != "XA1B/P" {
		t.Errorf("%q", records[1])
	}
	if got, _ := exported(t, exportable(t), AsADIF, Query{Words: "nothing"}); !strings.Contains(got, "<EOH>") {
		t.Errorf("%q", got)
	}
}

func TestIsCall(t *testing.T) {
	for call, want := range map[string]bool{"ZZ9ABC": true, "ZZ9A": true, "9Z1AB": true, "ZZ9ABC/P": true, "XA/ZZ9ABC": true, "ZZZZ9": true, "9ZZZ": true, "ZZZ23": true,
		"HERE": false, "599": false, "5NN": false, "Z9A": false, "73": false, "12345": false, "TEST": false, "": false, "/": false, "A": false, "59A": false, "ZZ9ABCDE": false} {
		if got := isCall(call); got != want {
			t.Errorf("%q: %v", call, got)
		}
	}
}

func TestExportCharts(t *testing.T) {
	ctx := context.Background()
	a := exportable(t)
	folder := filepath.Join(t.TempDir(), "out")
	n, err := a.ExportCharts(ctx, folder, Query{})
	must(t, err)
	entries, err := os.ReadDir(folder)
	must(t, err)
	if n != 1 || len(entries) != 2 {
		t.Fatalf("%d %v", n, entries)
	}
	index, err := os.ReadFile(filepath.Join(folder, IndexName))
	must(t, err)
	for _, want := range []string{"20310504T130000Z-120-576.png", "Surface &lt;analysis&gt;", "7878.10 kHz", "2031-05-04T13:00:00Z", "0.70"} {
		if !strings.Contains(string(index), want) {
			t.Errorf("%q is not in %s", want, index)
		}
	}
	f, err := os.Open(filepath.Join(folder, "20310504T130000Z-120-576.png"))
	must(t, err)
	defer f.Close()
	if _, _, err := image.Decode(f); err != nil {
		t.Error(err)
	}
	if _, err := a.ExportCharts(ctx, a.Folder(noon), Query{}); err == nil {
		t.Error("it wrote into the station's own folder")
	}
	empty := filepath.Join(t.TempDir(), "none")
	if n, err := a.ExportCharts(ctx, empty, Query{Words: "nothing"}); n != 0 || err != nil || exists(empty) {
		t.Errorf("%d %v", n, err)
	}
}
