package stationfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"ionoscribe/internal/fault"
)

// Init makes a folder with a station.toml that listens to the first of some sources; it overwrites nothing.
func Init(folder string, sources []string) error {
	path := filepath.Join(folder, Name)
	made := os.MkdirAll(folder, 0o777)
	if made != nil {
		return &fault.Error{Op: "make", Path: folder, Err: fault.Cause(made), Mend: "choose another folder"}
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return &fault.Error{Op: "make", Path: path, Err: errors.New("it is there already, and stays as it is"), Mend: "edit it, or choose another folder"}
	}
	if err == nil {
		_, err = f.Write(Template(sources))
		err = errors.Join(err, f.Close())
		if err != nil {
			os.Remove(path)
		}
	}
	if err != nil {
		return &fault.Error{Op: "write", Path: path, Err: fault.Cause(err), Mend: "choose another folder, or free some space"}
	}
	return nil
}
