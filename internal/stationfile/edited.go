package stationfile

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"sync"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/partfile"
)

// Edited is a station.toml that was changed, and is not written yet.
type Edited struct {
	Text  []byte // of the whole file
	Table string // that was changed, as it stands there; "": it is gone, or more was changed
	// Config is what the text says; nil if it is wrong.
	Config *Config
	path   string
	was    []byte
}

// Checks are what [Load] holds receivers against.
type Checks = []func(Receiver) error

// EditReceiver changes the receiver of a name, or adds it if there is none; nil removes it. What would be wrong with the file is an
// error of type [Problems], with lines of Edited.Text, which is there nevertheless.
func EditReceiver(path, name string, r *ReceiverTable, checks Checks) (*Edited, error) {
	return editFile(path, receiverEdit(name, r), checks)
}

// EditRule does so with a rule for alerts.
func EditRule(path, name string, r *alerts.Rule, checks Checks) (*Edited, error) {
	return editFile(path, alertEdit(name, r), checks)
}

func editFile(path string, e edit, checks Checks) (*Edited, error) {
	was, err := readFile(path)
	if err != nil {
		return nil, &fault.Error{Op: "read", Path: path, Err: fault.Cause(err), Mend: "check its permissions"}
	}
	text, from, to, err := e.apply(was)
	if err != nil {
		return nil, err
	}
	return (&Edited{Text: text, Table: string(text[from:to]), path: path, was: was}).check(checks)
}

// EditText is another text for a file, of which Sum was a value before.
func EditText(path, sum string, text []byte, checks Checks) (*Edited, error) {
	was, err := readFile(path)
	if err != nil {
		return nil, &fault.Error{Op: "read", Path: path, Err: fault.Cause(err), Mend: "check its permissions"}
	}
	if Sum(was) != sum {
		return nil, ErrChanged
	}
	return (&Edited{Text: text, path: path, was: was}).check(checks)
}

// Sum is the SHA-256 of a text, in hexadecimal digits.
func Sum(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

func (e *Edited) check(checks Checks) (*Edited, error) {
	var err error
	e.Config, err = files{}.config(filepath.Clean(e.path), e.Text, checks)
	return e, err
}

// ErrChanged says that a file is another one by now.
var ErrChanged = errors.New("station.toml was changed meanwhile; look at it, and try again")

// writing keeps two edits from being written at a time.
var writing sync.Mutex

// Write puts the text into the file, unless it was changed since it was read. Its mode stays as it is.
func (e *Edited) Write() error {
	writing.Lock()
	defer writing.Unlock()
	path, err := partfile.Target(e.path)
	if err != nil {
		return cannotWrite(e.path, err)
	}
	fi, err := os.Stat(path)
	if err != nil {
		return cannotWrite(path, err)
	}
	f, err := partfile.Create(path)
	if err != nil {
		return cannotWrite(path, err)
	}
	_, err = f.Write(e.Text)
	if err = errors.Join(err, f.Chmod(fi.Mode().Perm()), f.Sync()); err != nil {
		partfile.Discard(f)
		return cannotWrite(path, err)
	}
	if now, err := readFile(path); err != nil || !bytes.Equal(now, e.was) {
		partfile.Discard(f)
		return ErrChanged
	}
	if err := partfile.Place(f, path); err != nil {
		return cannotWrite(path, err)
	}
	return nil
}

func cannotWrite(path string, err error) error {
	return &fault.Error{Op: "write", Path: path, Err: fault.Cause(err), Mend: "let the station write into its folder, or put the text there by hand"}
}
