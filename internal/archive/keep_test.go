package archive

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// present are the transmissions that are in the archive.
func present(t testing.TB, a *Archive) []ID { return finds(t, &a.Reader, Query{Limit: 1000}) }

// consistent fails for what Check finds.
func consistent(t testing.TB, r *Reader) {
	t.Helper()
	problems, err := r.Check(context.Background())
	must(t, err)
	for _, p := range problems {
		t.Error(p)
	}
}

func TestKeepAge(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	now := noon.Add(100 * 24 * time.Hour)
	a, err := Open(dir, Options{Now: func() time.Time { return now }})
	must(t, err)
	defer a.Close()
	// A text and a chart each day; of every tenth the text is a favourite, of every fifteenth the chart.
	yes := true
	var texts, charts []ID
	for day := range 30 {
		begun := now.Add(-time.Duration(day) * 24 * time.Hour).Add(-time.Hour)
		texts = append(texts, hear(a, "north", "rtty", begun, strings.Repeat(fmt.Sprintf("DAY %d OF THE BULLETIN\n", day), 40)))
		charts = append(charts, hearChart(t, a, "south", "Surface analysis", begun))
	}
	for day := 0; day < 30; day += 10 {
		must(t, a.Note(ctx, texts[day], Note{Favourite: &yes}))
	}
	for day := 0; day < 30; day += 15 {
		must(t, a.Note(ctx, charts[day], Note{Favourite: &yes}))
	}
	arriving := a.Begin(Transmission{Mode: "rtty", Begun: now.Add(-50 * 24 * time.Hour)})
	tell(a, arriving, now.Add(-50*24*time.Hour), "STILL ARRIVING\n")
	flush(t, a)
	const day = 24 * time.Hour
	deleted, err := a.Keep(ctx, Rules{Texts: Limit{Age: 20 * day}, Charts: Limit{Age: 10 * day}, Videos: Limit{Age: 5 * day}})
	must(t, err)
	var want []ID
	for d := range 30 {
		if d < 20 || d%10 == 0 {
			want = append(want, texts[d])
		}
		if d < 10 || d%15 == 0 {
			want = append(want, charts[d])
		}
	}
	want = append(want, arriving)
	slices.Sort(want)
	if got := present(t, a); !slices.Equal(got, want) {
		t.Errorf("%v\nwant %v", got, want)
	}
	for d, id := range charts {
		if r, err := a.Transmission(ctx, id); err == nil && (r.Charts[0].Video != "") != (d < 5 || d%15 == 0) {
			t.Errorf("day %d: video %q", d, r.Charts[0].Video)
		}
	}
	if got := finds(t, &a.Reader, Query{Words: "bulletin", Limit: 100}); len(got) != 20+1 {
		t.Errorf("%d texts are found", len(got))
	}
	counts := map[Kind]int{}
	for _, d := range deleted {
		counts[d.Kind]++
		if d.Reason == "" || d.Bytes == 0 || !d.At.Equal(now) || d.Kind == Charts && d.Title != "Surface analysis" || (d.Path != "") != (d.Kind != Texts) || d.Path != "" && exists(a.file(d.Path)) {
			t.Errorf("%+v", d)
		}
	}
	// Of 30 days each: texts from day 20 on but for one favourite; charts from day 10 on but for one; videos from day 5 on but for one.
	if counts[Texts] != 9 || counts[Charts] != 19 || counts[Videos] != 24 {
		t.Errorf("%v", counts)
	}
	recorded, err := a.Deletions(ctx, now.Add(-time.Second), now.Add(time.Second))
	must(t, err)
	if len(recorded) != len(deleted) || recorded[0].Reason != "it was older than 5 days" {
		t.Errorf("%d of %d deletions are recorded: %+v", len(recorded), len(deleted), recorded[0])
	}
	again, err := a.Keep(ctx, Rules{Texts: Limit{Age: 20 * day}, Charts: Limit{Age: 10 * day}, Videos: Limit{Age: 5 * day}})
	if err != nil || len(again) > 0 {
		t.Errorf("%v %v", again, err)
	}
	consistent(t, &a.Reader)
	// A folder of which nothing is left goes too.
	if exists(filepath.Dir(a.Folder(now.Add(-20*day)))) && exists(a.Folder(now.Add(-20*day))) {
		t.Error("an empty folder is left")
	}
}

func TestKeepBytes(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	var ids []ID
	for i := range 200 {
		ids = append(ids, hear(a, "north", "rtty", noon.Add(time.Duration(i)*time.Minute), strings.Repeat("X", 100)))
	}
	yes := true
	must(t, a.Note(ctx, ids[3], Note{Favourite: &yes}))
	flush(t, a)
	// A character is told of as five bytes: its text and its time and confidence.
	deleted, err := a.Keep(ctx, Rules{Texts: Limit{Bytes: 50 * 500}})
	must(t, err)
	want := append([]ID{ids[3]}, ids[150:]...)
	if got := present(t, a); !slices.Equal(got, want) || len(deleted) != 149 || deleted[0].Reason != "texts took more than 25 kB" {
		t.Errorf("%v %d", got, len(deleted))
	}
	consistent(t, &a.Reader)
}

// A long text is deleted in parts; what is heard meanwhile is not held up by one long transaction.
func TestKeepLong(t *testing.T) {
	a := open(t, t.TempDir())
	id := hear(a, "north", "rtty", noon, strings.Repeat("A LINE\n", 2*keepLines+100))
	other := hear(a, "north", "rtty", noon.Add(time.Hour), "ANOTHER")
	flush(t, a)
	if r, err := a.Transmission(context.Background(), id); err != nil || r.Lines != 2*keepLines+100 || len(r.Text) != r.Lines {
		t.Fatal(err)
	}
	deleted, err := a.Keep(context.Background(), Rules{Texts: Limit{Bytes: 100}})
	must(t, err)
	if got := present(t, a); !slices.Equal(got, []ID{other}) || len(deleted) != 1 {
		t.Errorf("%v %v", got, deleted)
	}
	if got := finds(t, &a.Reader, Query{Words: "line"}); got != nil {
		t.Error(got)
	}
	consistent(t, &a.Reader)
}

// A deletion that was cut short is completed at the next start, and what is deleted does not come back as an orphan.
func TestKeepCut(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	a := open(t, dir)
	id := hearChart(t, a, "south", "Surface analysis", noon)
	flush(t, a)
	r, err := a.Transmission(ctx, id)
	must(t, err)
	picture := a.file(r.Charts[0].Picture)
	b, err := os.ReadFile(picture)
	must(t, err)
	_, err = a.Keep(ctx, Rules{Charts: Limit{Bytes: 1}})
	must(t, err)
	must(t, a.wait(ctx, func(w *writer) error { return w.exec("UPDATE deletion SET done = 0") }))
	must(t, os.MkdirAll(filepath.Dir(picture), 0o777))
	must(t, os.WriteFile(picture, b, 0o666))
	must(t, a.Close())
	a = open(t, dir)
	if exists(picture) || len(present(t, a)) > 0 {
		t.Error("it came back")
	}
	consistent(t, &a.Reader)
	if next := a.Begin(Transmission{Begun: noon}); next <= id {
		t.Errorf("number %d is given again", next)
	}
}

// What tells of the station's past is kept as long as texts.
func TestForget(t *testing.T) {
	ctx := context.Background()
	now := noon
	a, err := Open(t.TempDir(), Options{Now: func() time.Time { return now }})
	must(t, err)
	defer a.Close()
	sample(t, a)
	now = noon.Add(1000 * time.Hour)
	a.Incident(Incident{At: now, What: Gap})
	_, err = a.Keep(ctx, Rules{Texts: Limit{Age: 500 * time.Hour}})
	must(t, err)
	incidents, err := a.Incidents(ctx, time.Time{}, now.Add(time.Second))
	must(t, err)
	expected, err := a.Expected(ctx, time.Time{}, now)
	must(t, err)
	if len(incidents) != 1 || len(expected) != 0 {
		t.Errorf("%v %v", incidents, expected)
	}
}
