package archive

import (
	"context"
	"os"
	"strings"
	"testing"
)

// The checker finds what is made wrong on purpose, one thing at a time.
func TestCheck(t *testing.T) {
	ctx := context.Background()
	for says, spoil := range map[string]any{
		"lines of it, but nothing else":            "DELETE FROM transmission WHERE id = 1",
		"more or fewer lines":                      "DELETE FROM line WHERE id = (SELECT min(id) FROM line)",
		"characters of a line are damaged":         "UPDATE line SET chars = x'00ff' WHERE id = (SELECT min(id) FROM line)",
		"cannot be searched":                       "DELETE FROM word_index WHERE rowid = 1 << 20",
		"can be searched, but is not there":        "INSERT INTO word_index (rowid, text) VALUES (99 << 20, 'x')",
		"title can be searched, but":               "INSERT INTO about_index (rowid, title) VALUES (99, 'x')",
		"title or notes cannot":                    "DELETE FROM about_index WHERE rowid = 2",
		"levels of it, but":                        "INSERT INTO level VALUES (99, 1, 1)",
		"charts of it, but":                        "UPDATE chart SET transmission = 99",
		"deliveries are of no alert":               "INSERT INTO delivery (alert, way, state, due, attempts, maybe_sent, changed, reply) VALUES (9, 'x', 'pending', 0, 0, 0, 0, '')",
		"a chart's file is not there":              func(picture string) error { return os.Remove(picture) },
		"the file has 1 bytes":                     func(picture string) error { return os.WriteFile(picture, []byte("x"), 0o666) },
		"no chart of the archive has this picture": "DELETE FROM chart",
		"it was deleted, but the file":             "INSERT INTO deletion (at, kind, path, transmission, title, begun, bytes, reason, done) SELECT 0, 'charts', picture, 0, '', 0, 0, '', 0 FROM chart",
		"is damaged":                               "UPDATE word_index_data SET block = x'00' WHERE id > 100",
	} {
		a := open(t, t.TempDir())
		hear(a, "north", "rtty", noon, "GALE WARNING\nOSTREL SEA")
		id := hearChart(t, a, "south", "Surface analysis", noon)
		flush(t, a)
		consistent(t, &a.Reader)
		r, err := a.Transmission(ctx, id)
		must(t, err)
		switch spoil := spoil.(type) {
		case string:
			must(t, a.wait(ctx, func(w *writer) error { return w.exec(spoil) }))
		case func(string) error:
			must(t, spoil(a.PathOf(r.Charts[0].Picture)))
		}
		problems, err := a.Check(ctx)
		must(t, err)
		found := false
		for _, p := range problems {
			found = found || strings.Contains(p.String(), says)
		}
		if !found {
			t.Errorf("%s: %v", says, problems)
		}
	}
}
