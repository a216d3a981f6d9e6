package archive

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/chartfile"
)

// Files of charts of which the database does not know are filed at the next start: with their transmission if there is one.
func TestOrphans(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	a := open(t, dir)
	id := a.Begin(Transmission{Receiver: "north", Mode: "fax", OnAir: true, Hz: 7878100, Begun: noon.Add(-10 * time.Second), Ended: noon.Add(time.Minute)})
	a.End(id, noon.Add(2*time.Minute))
	flush(t, a)
	first, video, _ := saveChart(t, a, noon)                                                              // of the transmission
	second, _, _ := saveChart(t, a, noon.Add(40*time.Hour))                                               // of none
	must(t, os.WriteFile(first+".0123abcd.part", []byte("x"), 0o666))                                     // was being written
	must(t, os.WriteFile(filepath.Join(filepath.Dir(first), "holiday.png"), []byte("no picture"), 0o666)) // somebody's
	problems, err := a.Check(ctx)
	must(t, err)
	if len(problems) != 6 { // two pictures, two videos, a part, and somebody's
		t.Errorf("%v", problems)
	}
	must(t, a.Close())
	for range 2 { // once is enough
		a = open(t, dir)
		all := present(t, a)
		if len(all) != 2 {
			t.Fatalf("%v", all)
		}
		r, err := a.Transmission(ctx, id)
		must(t, err)
		if len(r.Charts) != 1 || a.PathOf(r.Charts[0].Picture) != first || a.PathOf(r.Charts[0].Video) != video || len(r.Charts[0].Thumbnail) == 0 || r.Quality < 0.6 || r.Charts[0].PictureBytes == 0 {
			t.Errorf("%+v", r)
		}
		r, err = a.Transmission(ctx, all[1])
		must(t, err)
		if len(r.Charts) != 1 || a.PathOf(r.Charts[0].Picture) != second || r.Mode != "fax" || r.Receiver != "north" || !r.Begun.Equal(noon.Add(40*time.Hour)) || r.Hz != 7878100 {
			t.Errorf("%+v", r)
		}
		if exists(first + ".0123abcd.part") {
			t.Error("a part is left")
		}
		if problems, err := a.Check(ctx); err != nil || len(problems) != 1 || !strings.HasSuffix(problems[0].Path, "holiday.png") {
			t.Errorf("%v %v", problems, err)
		}
		must(t, a.Close())
	}
}

// A video whose picture was not written yet gets one.
func TestOrphanVideo(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	video := filepath.Join(a.Folder(noon), "20310504T120000Z-120-576.video")
	must(t, os.MkdirAll(filepath.Dir(video), 0o777))
	v := new(fax.Video)
	z := make([]complex64, 3*1800+300)
	for i := range z {
		z[i] = complex(float32(i%127)/127, -0.5)
	}
	v.Append(z)
	c := chartfile.Chart{Info: chartfile.Info{Title: "Surface analysis", Start: noon, End: noon.Add(time.Second), TimeFrom: "clock", Source: "north", IOC: 576, LPM: 120, Lines: 3, Quality: chartfile.Quality{1, 1, 1}},
		Drawing: fax.Drawing{Origin: 100, Period: 1800, Columns: 1810, Rows: 3, OffsetHz: 8.5, DeviationHz: 400, White: 1}, Video: v}
	must(t, chartfile.WriteFile(video, func(w io.Writer) error { return chartfile.EncodeVideo(w, &c) }))
	must(t, a.Close())
	a = open(t, dir)
	all := present(t, a)
	if len(all) != 1 {
		t.Fatalf("%v", all)
	}
	r, err := a.Transmission(context.Background(), all[0])
	must(t, err)
	if r.Charts[0].Title != "Surface analysis" || r.Charts[0].Video == "" {
		t.Errorf("%+v", r.Charts[0])
	}
	if _, err := chartfile.ReadInfo(a.PathOf(r.Charts[0].Picture)); err != nil {
		t.Error(err)
	}
	consistent(t, &a.Reader)
}
