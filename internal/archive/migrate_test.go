package archive

import (
	"database/sql"
	"slices"
	"strings"

	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/chartfile"
)

var writeVersion = flag.Bool("write-version", false, "write the database of the present version into testdata, once, when it is new")

// sample fills an archive with what the databases of all versions hold.
func sample(t testing.TB, a *Archive) {
	hear(a, "north", "rtty", noon, "GALE WARNING OSTREL SEA\nWIND SW 8 TO ⌊P⌋ IN THE NORTH\n")
	fax := a.Begin(Transmission{Receiver: "south", Source: "sound card", Mode: "fax", OnAir: true, Hz: 3855000, Begun: noon.Add(time.Hour), Copied: true, Title: "Surface analysis", Entry: "surface", Notes: "well received", Rating: 4, Favourite: true})
	a.Chart(fax, Chart{Picture: filepath.Join(a.Folder(noon), "20310504T130000Z-120-576.png"), Title: "Surface analysis 12 UTC"})
	a.End(fax, noon.Add(70*time.Minute))
	a.Incident(Incident{At: noon, What: Gap, Receiver: "north", Seconds: 1.5, Text: "samples were lost"})
	a.Expect(Expected{Key: "surface@2031-05-04T13:00Z", Receiver: "south", Entry: "surface", Title: "Surface analysis", At: noon.Add(time.Hour), Outcome: Came, Transmission: fax, Quality: 0.9})
	a.Deleted(Deletion{At: noon, Kind: Sound, Path: "sound/north/2031/05/03/120000.flac", Bytes: 1000, Reason: "it was older than a day"})
	flush(t, a)
	_, err := a.Redrawn(context.Background(), 1, chartfile.Changes{Invert: true}, Chart{Picture: filepath.Join(a.Folder(noon), "20310504T130000Z-120-576_2.png")})
	must(t, err)
	// One that was arriving when the program was killed.
	id := a.Begin(Transmission{Receiver: "north", Mode: "cw", Begun: noon.Add(2 * time.Hour), Copied: true})
	tell(a, id, noon.Add(2*time.Hour), "CQ CQ DE ZZ9ZZZ")
	flush(t, a)
}

func versionFile(n int) string { return filepath.Join("testdata", fmt.Sprintf("version%d.db", n)) }

// The database of each version that ever was is kept: one that is lost cannot be made again.
func TestWriteVersion(t *testing.T) {
	if !*writeVersion {
		for n := 1; n <= version; n++ {
			if _, err := os.Stat(versionFile(n)); err != nil {
				t.Errorf("%v; write it with -write-version before the schema changes again", err)
			}
		}
		return
	}
	a := open(t, t.TempDir())
	sample(t, a)
	must(t, os.MkdirAll("testdata", 0o777))
	if _, err := os.Stat(versionFile(version)); err == nil {
		t.Fatalf("%s is there already", versionFile(version))
	}
	must(t, a.Backup(context.Background(), versionFile(version)))
}

// The database of each earlier version is brought up to date with all that it holds, after a copy was made of it.
func TestMigrate(t *testing.T) {
	ctx := context.Background()
	for from := 1; from <= version; from++ {
		dir := t.TempDir()
		b, err := os.ReadFile(versionFile(from))
		must(t, err)
		must(t, os.WriteFile(filepath.Join(dir, Name), b, 0o666))
		if from < version {
			if _, err := OpenReader(dir); err == nil {
				t.Errorf("version %d: it was read", from)
			}
		}
		a := open(t, dir)
		for words, want := range map[string][]ID{"gale": {1}, `"ostrel sea wind"`: {1}, "~q": {1}, "surface": {2}, "received": {2}, `"cq cq de"`: {3}} {
			if got := finds(t, &a.Reader, Query{Words: words}); !slices.Equal(got, want) {
				t.Errorf("version %d: %s: %v", from, words, got)
			}
		}
		if got := texts(t, &a.Reader, 1); got != "GALE WARNING OSTREL SEA\nWIND SW 8 TO P IN THE NORTH" {
			t.Errorf("version %d: %q", from, got)
		}
		r, err := a.Transmission(ctx, 2)
		must(t, err)
		if r.Title != "Surface analysis" || r.Notes != "well received" || r.Rating != 4 || !r.Favourite || r.Hz != 3855000 || !r.Begun.Equal(noon.Add(time.Hour)) {
			t.Errorf("version %d: %+v", from, r)
		}
		if charts, err := a.Versions(ctx, 1); err != nil || len(charts) != versionsIn(from) || !charts[len(charts)-1].Latest || charts[0].Family != 1 {
			t.Errorf("version %d: %+v, %v", from, charts, err)
		}
		listed, err := a.Charts(ctx, ChartQuery{Receiver: "south", LeastRating: 4, Favourites: true})
		must(t, err)
		if len(listed) != 1 || listed[0].Chart != int64(versionsIn(from)) || listed[0].Title != "Surface analysis 12 UTC" {
			t.Errorf("version %d: %+v", from, listed)
		}
		r, err = a.Transmission(ctx, 3)
		must(t, err)
		if r.State != Cut || r.Lines != 1 || r.Characters != 15 {
			t.Errorf("version %d: %+v", from, r)
		}
		expected, err := a.Expected(ctx, noon, noon.Add(24*time.Hour))
		must(t, err)
		incidents, err := a.Incidents(ctx, noon, noon.Add(time.Hour))
		must(t, err)
		deletions, err := a.Deletions(ctx, noon, noon.Add(time.Hour))
		must(t, err)
		if len(expected) != 1 || expected[0].Outcome != Came || len(incidents) != 1 || incidents[0].Seconds != 1.5 || len(deletions) != 1 || deletions[0].Kind != Sound {
			t.Errorf("version %d: %v %v %v", from, expected, incidents, deletions)
		}
		// It is what a new one is.
		if got, want := schema(t, a), schema(t, open(t, t.TempDir())); got != want {
			t.Errorf("version %d: %s\nwant %s", from, got, want)
		}
		id, err := a.Outbox().Add(alerts.Alert{Rule: "gales", Made: noon}, []string{"mail"})
		must(t, err)
		if id < 1 {
			t.Error(id)
		}
		must(t, a.Close())
		_, err = os.Stat(filepath.Join(dir, fmt.Sprintf("before-%d.db", version)))
		if from < version && err != nil || from == version && err == nil {
			t.Errorf("version %d: the copy: %v", from, err)
		}
	}
}

// versionsIn is how many versions the chart has in a database of earlier times: before 4 there were none but one.
func versionsIn(from int) int {
	if from < 4 {
		return 1
	}
	return 2
}

// schema is that of a database, in words of SQL.
func schema(t *testing.T, a *Archive) string {
	t.Helper()
	all, err := list(context.Background(), a.db, func(s *sql.Rows) (text string, err error) { return text, s.Scan(&text) },
		"SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")
	must(t, err)
	return strings.Join(all, "\n")
}

// A database that is newer, or another program's, or none, is left alone.
func TestRefuse(t *testing.T) {
	for name, c := range map[string]struct{ sql, says string }{
		"newer":   {fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d; CREATE TABLE x (y)", applicationID, version+1), "use the newer program"},
		"foreign": {"CREATE TABLE x (y)", "another program's database"},
		"none":    {"", "is no database"},
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, Name)
		if c.sql != "" {
			db, err := sql.Open("sqlite", path)
			must(t, err)
			_, err = db.Exec(c.sql)
			must(t, err)
			must(t, db.Close())
		} else {
			must(t, os.WriteFile(path, []byte(strings.Repeat("this is a text and no database\n", 100)), 0o666))
		}
		before, err := os.ReadFile(path)
		must(t, err)
		_, err = Open(dir, Options{})
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := OpenReader(dir); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
		if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
			t.Errorf("%s: it was changed", name)
		}
	}
}
