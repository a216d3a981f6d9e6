package archive

import (
	"context"
	"errors"
	"image"
	"os"
	"slices"
	"testing"
	"time"

	"ionoscribe/internal/chartfile"
)

// savePicture saves a picture drawn by hand from the video of a chart that begins then.
func savePicture(t testing.TB, a *Archive, begun time.Time, quality float32) Chart {
	t.Helper()
	c := &chartfile.Chart{Info: chartfile.Info{Start: begun, End: begun.Add(time.Minute), Source: "north", Hz: 7878100, IOC: 576, LPM: 120, Lines: 2,
		Quality: chartfile.Quality{quality, quality}}, Image: image.NewGray(image.Rect(0, 0, 1810, 2))}
	picture, _, err := chartfile.Save(a.Folder(begun), c, nil)
	must(t, err)
	return Chart{Picture: picture, Info: c.Info, Image: c.Image}
}

// versions are the numbers of a chart's versions, and which of them is the latest.
func versions(t testing.TB, r *Reader, chart int64) (numbers []int64, latest int64) {
	t.Helper()
	all, err := r.Versions(context.Background(), chart)
	must(t, err)
	for _, c := range all {
		numbers = append(numbers, c.ID)
		if c.Latest {
			latest = c.ID
		}
	}
	return numbers, latest
}

// A chart that is drawn again keeps its earlier versions, and its video stays as long as there is one of them.
func TestVersions(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	a := open(t, dir)
	id := hearChart(t, a, "north", "Surface analysis", noon)
	flush(t, a)
	shift := chartfile.Changes{Shift: 120}
	second, err := a.Redrawn(ctx, 1, shift, savePicture(t, a, noon, 0.9))
	must(t, err)
	third, err := a.Redrawn(ctx, second, chartfile.Changes{Shift: 120, Invert: true}, savePicture(t, a, noon, 0.4))
	must(t, err)
	if numbers, latest := versions(t, &a.Reader, 1); !slices.Equal(numbers, []int64{1, second, third}) || latest != third {
		t.Errorf("%v, latest %d", numbers, latest)
	}
	r, err := a.Transmission(ctx, id)
	must(t, err)
	if len(r.Charts) != 1 || r.Charts[0].ID != third || r.Quality < 0.39 || r.Quality > 0.41 {
		t.Errorf("%+v, quality %v", r.Charts, r.Quality)
	}
	c, err := a.ChartNumbered(ctx, second)
	must(t, err)
	first, err := a.ChartNumbered(ctx, 1)
	must(t, err)
	if c.Changes != shift || c.DrawnFrom != 1 || c.Family != 1 || c.Latest || c.Made.IsZero() || c.Video != first.Video || c.Video == "" || len(c.Thumbnail) == 0 || c.Title != first.Title {
		t.Errorf("%+v", c)
	}
	consistent(t, &a.Reader)

	// The latest and the first go.
	must(t, a.RemoveVersion(ctx, third))
	must(t, a.RemoveVersion(ctx, 1))
	if numbers, latest := versions(t, &a.Reader, second); !slices.Equal(numbers, []int64{second}) || latest != second {
		t.Errorf("%v, latest %d", numbers, latest)
	}
	if err := a.RemoveVersion(ctx, second); !errors.Is(err, ErrOnly) {
		t.Error(err)
	}
	for _, none := range []int64{1, third, 99} {
		if err := a.RemoveVersion(ctx, none); !errors.Is(err, ErrNoChart) {
			t.Errorf("%d: %v", none, err)
		}
	}
	if _, err := a.Redrawn(ctx, third, shift, savePicture(t, a, noon.Add(time.Hour), 1)); !errors.Is(err, ErrNoChart) {
		t.Error(err)
	}
	must(t, os.Remove(a.Folder(noon)+"/20310504T130000Z-120-576.png"))
	if exists(a.file(first.Picture)) || !exists(a.file(first.Video)) {
		t.Error("the first picture should be gone, and the video be there")
	}
	consistent(t, &a.Reader)

	// After a restart all is as it was, and no number is given again.
	must(t, a.Close())
	a = open(t, dir)
	if numbers, _ := versions(t, &a.Reader, second); len(numbers) != 1 {
		t.Errorf("%v", numbers)
	}
	c, err = a.ChartNumbered(ctx, second)
	must(t, err)
	if c.Video != first.Video {
		t.Errorf("video %q", c.Video)
	}
	if next, err := a.Redrawn(ctx, second, shift, savePicture(t, a, noon, 0.9)); err != nil || next <= third {
		t.Error(next, err)
	}
	consistent(t, &a.Reader)
	// Retention deletes all of it.
	_, err = a.Keep(ctx, Rules{Charts: Limit{Bytes: 1}})
	must(t, err)
	if all := present(t, a); len(all) != 0 || exists(a.file(first.Video)) || exists(a.Folder(noon)) {
		t.Errorf("%v is left", all)
	}
	consistent(t, &a.Reader)
}

// When charts take too much, earlier versions go before the latest.
func TestVersionsKept(t *testing.T) {
	ctx := context.Background()
	a := open(t, t.TempDir())
	id := hearChart(t, a, "north", "Surface analysis", noon)
	flush(t, a)
	second, err := a.Redrawn(ctx, 1, chartfile.Changes{}, savePicture(t, a, noon, 0.9))
	must(t, err)
	c, err := a.ChartNumbered(ctx, second)
	must(t, err)
	_, err = a.Keep(ctx, Rules{Charts: Limit{Bytes: c.PictureBytes}})
	must(t, err)
	r, err := a.Transmission(ctx, id)
	must(t, err)
	if len(r.Charts) != 1 || r.Charts[0].ID != second || !exists(a.file(r.Charts[0].Video)) {
		t.Errorf("%+v", r.Charts)
	}
	consistent(t, &a.Reader)
}

// A picture whose version was not told of when the program was killed becomes one.
func TestVersionAdopted(t *testing.T) {
	dir := t.TempDir()
	a := open(t, dir)
	hearChart(t, a, "north", "Surface analysis", noon)
	flush(t, a)
	savePicture(t, a, noon, 0.9)
	must(t, a.Close())
	a = open(t, dir)
	if numbers, latest := versions(t, &a.Reader, 1); !slices.Equal(numbers, []int64{1, 2}) || latest != 2 {
		t.Errorf("%v, latest %d", numbers, latest)
	}
	consistent(t, &a.Reader)
}
