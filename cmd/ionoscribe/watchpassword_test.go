package main

import (
	"bytes"
	"crypto/sha256"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/alexedwards/argon2id"

	"ionoscribe/internal/access"
	"ionoscribe/internal/stationfile"
)

// The tables that are printed let those in that they are for.
func TestUserAndTokenTables(t *testing.T) {
	tables := "listen = '0.0.0.0:8073'\n"
	token := ""
	for _, args := range [][]string{{"--password", "mate"}, {"--token", "display", "--role", "change"}, {"--password", `the "old" man`, "--role", "change"}} {
		var out, errs bytes.Buffer
		if status := run(t.Context(), append([]string{"watch"}, args...), strings.NewReader("pass word \r\n"), &out, &errs); status != statusOK {
			t.Fatalf("%q: %d, %s", args, status, &errs)
		}
		tables += out.String()
		if _, after, ok := strings.Cut(errs.String(), "not shown again: "); ok {
			token = strings.TrimSpace(after)
		}
	}
	path := filepath.Join(t.TempDir(), stationfile.Name)
	if err := os.WriteFile(path, []byte(tables+"[[receiver]]\nname = 'a'\nsource = 'device:default'\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	c, err := stationfile.Load(path)
	if err != nil {
		t.Fatalf("%v\n%s", err, tables)
	}
	if len(c.Page.Users) != 2 || len(c.Page.Tokens) != 1 || c.Page.Users[0].Role != access.Look || c.Page.Users[1].Role != access.Change || c.Page.Users[1].Name != `the "old" man` {
		t.Fatalf("%+v", c.Page)
	}
	if ok, err := argon2id.ComparePasswordAndHash("pass word ", c.Page.Users[0].Password); !ok || err != nil {
		t.Error("the password is not that of the line", err)
	}
	if c.Page.Tokens[0].SHA256 != sha256.Sum256([]byte(token)) {
		t.Error("the token is another one:", token)
	}
}

func TestWrongUsers(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--password", "mate", "--role", "all"}, `--role "all" is not known; there are: look, change`},
		{[]string{"--password", "mate"}, "the password is too short; take 8 characters or more"},
		{[]string{"--password", ""}, `the name "" is empty; write such as mate`},
		{[]string{"--token", "a\x1bb"}, `the name "a\x1bb" cannot be shown; write a shorter one in one line`},
		{[]string{"--token", "a", "--password", "b"}, "exclude each other"},
		{[]string{"--role", "look", "folder"}, "--role belongs to --password and --token"},
		{nil, `accepts 1 arg(s), received 0; see "ionoscribe watch --help"`},
	} {
		var out, errs bytes.Buffer
		if status := run(t.Context(), append([]string{"watch"}, c.args...), strings.NewReader("short\n"), &out, &errs); status != statusUsage || !strings.Contains(errs.String(), c.want) || out.Len() > 0 {
			t.Errorf("%q: %d, %s%s", c.args, status, &out, &errs)
		}
	}
}
