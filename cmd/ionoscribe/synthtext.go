package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"ionoscribe/internal/fault"
)

const textHelp = `TEXT is the text itself, the name of a file that holds it, or - for standard input.`

// maxText bounds what is read: a day of continuous text.
const maxText = 1 << 20

// readText gives the text of an argument, and a name for its recording.
func readText(arg string, in io.Reader) (text, name string, err error) {
	name = "text.wav"
	switch fi, err := os.Stat(arg); {
	case arg == "-":
	case err == nil && fi.IsDir():
		return "", "", usageError{fmt.Errorf("%s is a folder; name a file in it, or give the text itself", arg)}
	case err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, syscall.ENAMETOOLONG) && !errors.Is(err, syscall.ENOTDIR) && !errors.Is(err, syscall.EINVAL):
		return "", "", &fault.Error{Op: "read", Path: arg, Err: fault.Cause(err), Mend: "check its name and permissions"}
	case err != nil: // no file, so it is the text
		return arg, name, nil
	default:
		f, err := os.Open(arg)
		if err != nil {
			return "", "", &fault.Error{Op: "read", Path: arg, Err: fault.Cause(err), Mend: "check its name and permissions"}
		}
		defer f.Close()
		in, name = f, strings.TrimSuffix(arg, filepath.Ext(arg))+".wav"
	}
	b, err := io.ReadAll(io.LimitReader(in, maxText+1))
	switch {
	case err != nil:
		return "", "", fmt.Errorf("read %s: %w", arg, fault.Cause(err))
	case len(b) > maxText:
		return "", "", usageError{fmt.Errorf("%s holds more than a megabyte of text; send it in parts", arg)}
	}
	text = strings.TrimRight(string(b), "\r\n")
	if text == "" {
		return "", "", usageError{errors.New("there is no text to send")}
	}
	return text, name, nil
}
