package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"ionoscribe/internal/access"
	"ionoscribe/internal/fault"
)

// printUser asks for a user's password, and prints the table that lets the user in.
func printUser(name, role string, in io.Reader, out, errs io.Writer) error {
	if err := checkPerson(name, role); err != nil {
		return err
	}
	password, err := askPassword(name, in, errs)
	if err != nil {
		return err
	}
	hash, err := access.MakePassword(password)
	if err != nil {
		return usageError{err}
	}
	return printTable(out, "user", name, role, "password", hash)
}

// printToken makes a token, which it prints once, where it is not taken for a part of the table, and the table that lets its
// program in.
func printToken(name, role string, out, errs io.Writer) error {
	if err := checkPerson(name, role); err != nil {
		return err
	}
	token, sum := access.MakeToken()
	if err := printTable(out, "token", name, role, "sha256", fmt.Sprintf("%x", sum)); err != nil {
		return err
	}
	return printLine(errs, "The token, which is not shown again: "+token)
}

func printTable(out io.Writer, table, name, role, key, value string) error {
	return printLine(out, fmt.Sprintf("\n[[page.%s]]\nname = %q\nrole = %q\n%s = %q", table, name, role, key, value))
}

func checkPerson(name, role string) error {
	if _, ok := access.RoleOf(role); !ok {
		return usageError{fmt.Errorf("--role %q is not known; there are: look, change", role)}
	}
	if err := access.CheckName(name); err != nil {
		return usageError{fmt.Errorf("the name %q %w", name, err)}
	}
	return nil
}

// askPassword asks twice on a terminal, without showing what is typed, and reads a line of what is no terminal.
func askPassword(name string, in io.Reader, errs io.Writer) (string, error) {
	terminal, ok := in.(*os.File)
	if !ok || !term.IsTerminal(int(terminal.Fd())) {
		line, err := bufio.NewReader(io.LimitReader(in, access.MostPassword+2)).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", &fault.Error{Op: "read", Path: "standard input", Err: err, Mend: "write the password in a line"}
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	var words [2]string
	for i, question := range []string{"Password for " + name, "Once more"} {
		fmt.Fprint(errs, question, ": ")
		word, err := term.ReadPassword(int(terminal.Fd()))
		fmt.Fprintln(errs)
		if err != nil {
			return "", &fault.Error{Op: "read", Path: "the terminal", Err: err, Mend: "write the password to standard input instead"}
		}
		words[i] = string(word)
	}
	if words[0] != words[1] {
		return "", usageError{errors.New("the two passwords differ; try again")}
	}
	return words[0], nil
}
