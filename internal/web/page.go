package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"
)

//go:embed all:page/dist
var bundle embed.FS

// file is one of the page, in the two forms in which it is sent.
type file struct {
	kind          string
	tag           string // ETag
	plain, packed []byte
}

// page serves the embedded page: its files, and index.html for every other address, since views have addresses of their own.
func page() http.Handler {
	files := pageFiles()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			problemOf(http.StatusMethodNotAllowed, "the page can only be read").write(w)
			return
		}
		f, ok := files[strings.TrimPrefix(r.URL.Path, "/")]
		if !ok {
			if path.Ext(r.URL.Path) != "" {
				problemOf(http.StatusNotFound, "there is no such file").write(w)
				return
			}
			f = files["index.html"]
		}
		h := w.Header()
		h.Set("Content-Type", f.kind)
		h.Set("Cache-Control", "no-cache") // asked for anew each time, and answered by "not modified"
		h.Set("Vary", "Accept-Encoding")
		h.Set("ETag", f.tag)
		body := f.plain
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
			h.Set("Content-Encoding", "gzip")
			h.Set("ETag", strings.TrimSuffix(f.tag, `"`)+`-gzip"`)
			body = f.packed
		}
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(body))
	})
}

func pageFiles() map[string]*file {
	files := map[string]*file{}
	root, err := fs.Sub(bundle, "page/dist")
	if err != nil {
		panic(err) // it is embedded
	}
	err = fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		plain, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(plain)
		files[name] = &file{kind: kindOf(name), tag: `"` + hex.EncodeToString(sum[:8]) + `"`, plain: plain, packed: pack(plain)}
		return nil
	})
	if err != nil {
		panic(err)
	}
	return files
}

// kindOf is the media type of a file; a machine's own tables do not matter.
func kindOf(name string) string {
	switch path.Ext(name) {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".webmanifest":
		return "application/manifest+json"
	}
	return mime.TypeByExtension(path.Ext(name))
}

func pack(b []byte) []byte {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		panic(err) // the level is right
	}
	w.Write(b) // into memory, it cannot fail
	w.Close()
	return out.Bytes()
}
