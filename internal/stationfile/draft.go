package stationfile

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"

	"ionoscribe/internal/alerts"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/partfile"
)

// ErrChanged says that a file is another one than that which was read.
var ErrChanged = errors.New("it was changed meanwhile")

// Draft is a station.toml that is being changed. Comments and layout stay as they are; nothing is written until [Draft.Save].
type Draft struct {
	path string
	was  [sha256.Size]byte // the hash of the text that it replaces
	text []byte
}

// Edit reads the file at path, which may be wrong.
func Edit(path string) (*Draft, error) {
	text, err := readFile(path)
	if err != nil {
		return nil, &fault.Error{Op: "read", Path: path, Err: fault.Cause(err), Mend: "check its permissions"}
	}
	return &Draft{path: filepath.Clean(path), was: sha256.Sum256(text), text: text}, nil
}

// Text is the whole file as it is to be.
func (d *Draft) Text() string { return string(d.text) }

// Was is the SHA-256 of the file as it was read.
func (d *Draft) Was() [sha256.Size]byte { return d.was }

// Replace gives the file another text.
func (d *Draft) Replace(text string) { d.text = []byte(text) }

// Receivers are the tables of receivers; nil if the file is not TOML.
func (d *Draft) Receivers() (all []ReceiverTable) {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return nil
	}
	for _, t := range doc.table("", doc.root).tables("receiver") {
		all = append(all, receiverTable(t))
	}
	return all
}

// SetReceiver gives the receiver with a name the keys that a table has, and takes away those that it has not; it adds the receiver
// if it is not there. The command that tunes it stays.
func (d *Draft) SetReceiver(name string, r ReceiverTable) error {
	return d.set("receiver", name, r, func(t *table) any { return receiverTable(t) })
}

// SetAlert does so with a rule; one with another name gets that of r.
func (d *Draft) SetAlert(name string, r alerts.Rule) error {
	return d.set("alert", name, r, func(t *table) any {
		var is alerts.Rule
		t.decode(&is) // as far as it is right: what is wrong is set anew
		return is
	})
}

// RemoveReceiver takes out the receiver with a name; it fails with [fs.ErrNotExist] if there is none.
func (d *Draft) RemoveReceiver(name string) error { return d.remove("receiver", name) }

// RemoveAlert does so with a rule.
func (d *Draft) RemoveAlert(name string) error { return d.remove("alert", name) }

func (d *Draft) set(kind, name string, want any, is func(*table) any) error {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return err
	}
	i, err := doc.find(kind, name)
	if err != nil {
		return err
	}
	pairs, err := pairsOf(want)
	if err != nil {
		return err
	}
	e, order := &edit{document: doc}, keysOf(reflect.TypeOf(want))
	if i < 0 {
		e.add(kind, order, pairs)
	} else {
		t := doc.table("", doc.root).tables(kind)[i]
		now, err := pairsOf(is(t))
		if err != nil {
			return err
		}
		for key := range t.items { // what cannot be understood is there too
			if _, ok := now[key]; !ok && slices.Contains(order, key) {
				now[key] = errors.ErrUnsupported // equal to nothing that is wanted
			}
		}
		e.set(t.path, order, now, pairs)
	}
	d.text = e.done()
	return nil
}

func (d *Draft) remove(kind, name string) error {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return err
	}
	i, err := doc.find(kind, name)
	if err != nil {
		return err
	}
	if i < 0 {
		return fmt.Errorf("there is no [[%s]] with the name %q: %w", kind, name, fs.ErrNotExist)
	}
	e := &edit{document: doc}
	e.remove(element(kind, i))
	d.text = e.done()
	return nil
}

// ReceiverText is the table of a receiver as it is to stand in the file; "" if there is none.
func (d *Draft) ReceiverText(name string) string { return d.tableText("receiver", name) }

// AlertText is that of a rule.
func (d *Draft) AlertText(name string) string { return d.tableText("alert", name) }

func (d *Draft) tableText(kind, name string) (text string) {
	doc, err := parse(d.path, d.text)
	if err != nil {
		return ""
	}
	i, err := doc.find(kind, name)
	if err != nil || i < 0 {
		return ""
	}
	for _, s := range doc.sections {
		if within(s.path, element(kind, i)) {
			text += string(doc.text[s.from:s.to])
		}
	}
	return text
}

// Check reads the file as it is to be, as [Load] does.
func (d *Draft) Check(checks ...func(Receiver) error) (*Config, error) {
	return files{}.understand(d.path, d.text, checks)
}

// Save checks the file and puts it in the place of the one that was read, all at once and with the same permissions. It fails with
// [Problems], and writes nothing, if it would be wrong; with [ErrChanged] if the file was changed meanwhile; and with another
// [*fault.Error] if it cannot be written.
func (d *Draft) Save(checks ...func(Receiver) error) error {
	if _, err := d.Check(checks...); err != nil {
		return err
	}
	err := d.write()
	switch {
	case errors.Is(err, ErrChanged):
		return &fault.Error{Op: "write", Path: d.path, Err: err, Mend: "look at it again, and repeat the change"}
	case err != nil:
		return &fault.Error{Op: "write", Path: d.path, Err: fault.Cause(err), Mend: "let the station write it, or edit it yourself"}
	}
	d.was = sha256.Sum256(d.text)
	return nil
}

func (d *Draft) write() error {
	path, err := filepath.EvalSymlinks(d.path) // a link stays one
	if err != nil {
		return err
	}
	fi, err := os.Stat(path)
	if err != nil {
		return err
	}
	if err := mayWrite(path); err != nil {
		return err
	}
	f, err := partfile.Create(path)
	if err != nil {
		return err
	}
	err = f.Chmod(fi.Mode().Perm()) // before anybody can read a text in it
	if err == nil {
		_, err = f.Write(d.text)
	}
	if err == nil {
		err = f.Sync()
	}
	if err == nil {
		err = d.unchanged(path)
	}
	if err != nil {
		partfile.Discard(f)
		return err
	}
	return partfile.Place(f, path)
}

// unchanged fails if a file is not the one that was read.
func (d *Draft) unchanged(path string) error {
	text, err := readFile(path)
	if err == nil && sha256.Sum256(text) != d.was {
		err = ErrChanged
	}
	return err
}

// Writable says that the file can be written, as far as permissions tell.
func (d *Draft) Writable() bool {
	path, err := filepath.EvalSymlinks(d.path)
	return err == nil && mayWrite(path) == nil && mayMakeFiles(filepath.Dir(path))
}

// mayWrite fails if a file is not to be written: then another one is not to be put in its place either.
func mayWrite(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err == nil {
		f.Close()
	}
	return err
}
