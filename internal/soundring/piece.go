package soundring

import (
	"cmp"
	"errors"
	"io/fs"
	"net/url"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"ionoscribe/internal/fault"
)

// Piece is a file of a ring.
type Piece struct {
	Path  string
	Begin time.Time // UTC; as its name has it, to the second
	End   time.Time // about: a minute ends, or the next piece begins
	Bytes int64
}

const (
	soundFolder = "sound" // in a station's folder
	suffix      = ".flac"
)

// folderOf is where a receiver's sound is. Its name may have any characters.
func folderOf(dir, receiver string) string {
	name := strings.ReplaceAll(url.PathEscape(receiver), ":", "%3A") // which some systems do not have in names
	if rest, ok := strings.CutPrefix(name, "."); ok {
		name = "%2E" + rest
	}
	if name == "" {
		name = "%"
	}
	return filepath.Join(dir, soundFolder, name)
}

// pieceName is the path of a piece from the receiver's folder; one of the same second has a number.
var pieceName = regexp.MustCompile(`^\d{4}/\d\d/\d\d/\d{6}(_\d+)?\` + suffix + `$`)

// list finds the pieces of a receiver's folder, the oldest first.
func list(folder string) (all []Piece, err error) {
	err = filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		rel, err := filepath.Rel(folder, path)
		name := filepath.ToSlash(rel)
		if err != nil || !pieceName.MatchString(name) {
			return nil
		}
		begin, err := time.Parse("2006/01/02/150405", name[:len("2006/01/02/150405")])
		if err != nil {
			return nil
		}
		fi, err := e.Info()
		if err != nil {
			return nil // it was deleted meanwhile
		}
		all = append(all, Piece{path, begin, begin.Truncate(time.Minute).Add(time.Minute), fi.Size()})
		return nil
	})
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err != nil {
		return nil, &fault.Error{Op: "read", Path: folder, Err: fault.Cause(err), Mend: "change its permissions"}
	}
	slices.SortFunc(all, func(a, b Piece) int {
		return cmp.Or(a.Begin.Compare(b.Begin), cmp.Compare(len(a.Path), len(b.Path)), strings.Compare(a.Path, b.Path))
	})
	for i := 1; i < len(all); i++ {
		if all[i].Begin.Before(all[i-1].End) {
			all[i-1].End = all[i].Begin
		}
	}
	return all, nil
}

func writeError(path string, err error) error {
	e := &fault.Error{Op: "write", Path: path, Err: fault.Cause(err), Mend: "free some space, or keep less sound"}
	if errors.Is(err, fs.ErrPermission) {
		e.Mend = "change its permissions, or choose another folder"
	}
	return e
}
