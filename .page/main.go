// Command page bundles the sources of the station's page (internal/web/page) into internal/web/page/dist, which the program embeds:
//
//	go run -C .page .           writes the bundle
//	go run -C .page . --check   fails if the bundle in the repository is not that of the sources
//	go run -C .page . --watch   writes it again whenever a source changes
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"github.com/evanw/esbuild/pkg/api"
)

// root is the folder of the page, from this module.
const root = "../internal/web/page"

func main() {
	check := flag.Bool("check", false, "compare the bundle with the sources")
	watch := flag.Bool("watch", false, "write it again whenever a source changes")
	flag.Parse()
	if err := run(*check, *watch); err != nil {
		fmt.Fprintln(os.Stderr, "page:", err)
		os.Exit(1)
	}
}

func run(check, watch bool) error {
	o, err := options()
	if err != nil {
		return err
	}
	o.Write = !check
	if !check { // what is not made any more goes
		if err := os.RemoveAll(o.Outdir); err != nil {
			return err
		}
	}
	if watch {
		ctx, failed := api.Context(o)
		if failed != nil {
			return failed
		}
		if err := ctx.Watch(api.WatchOptions{}); err != nil {
			return err
		}
		select {} // until it is interrupted
	}
	r := api.Build(o)
	if len(r.Errors) > 0 {
		return errors.New("the sources are wrong; see above")
	}
	if is, err := os.ReadDir(o.Outdir); check && (err != nil || len(is) != len(r.OutputFiles)) {
		return fmt.Errorf("%s has other files than the sources make; run go run -C .page . and commit it", o.Outdir)
	}
	for _, f := range r.OutputFiles {
		if check {
			is, err := os.ReadFile(f.Path)
			if err != nil {
				return err
			}
			if !bytes.Equal(is, f.Contents) {
				return fmt.Errorf("%s is not what the sources make; run go run -C .page . and commit it", f.Path)
			}
		}
		fmt.Printf("%8d bytes  %s\n", len(f.Contents), filepath.Base(f.Path))
	}
	return nil
}

// options are those of the bundle: one script with all views, 65 kB as it is sent. Split where a view is loaded it was a third of
// that, but came a fifth later on a slow computer, since one part names the next.
func options() (api.BuildOptions, error) {
	dir, err := filepath.Abs(root)
	return api.BuildOptions{
		AbsWorkingDir:     dir,
		EntryPoints:       []string{"src/main.ts", "style/page.css", "index.html", "icon.svg", "page.webmanifest"},
		EntryNames:        "[name]",
		Outdir:            filepath.Join(dir, "dist"),
		Bundle:            true,
		Format:            api.FormatESModule,
		Target:            api.ES2022,
		MinifySyntax:      true,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		LegalComments:     api.LegalCommentsNone, // there is no code of others
		Loader:            map[string]api.Loader{".html": api.LoaderCopy, ".svg": api.LoaderCopy, ".webmanifest": api.LoaderCopy},
		LogLevel:          api.LogLevelWarning,
	}, err
}
