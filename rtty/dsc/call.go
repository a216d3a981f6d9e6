package dsc

import (
	"fmt"
	"strings"
)

// Call is a call's content.
type Call struct {
	Symbols []Symbol // from the format specifier, once, to the last before the end of sequence
	End     Symbol   // of sequence: [EndRequest], [EndAnswer] or [EndOther]
}

// Check is the check symbol: the sum modulo 2 of the format specifier, once, and all other symbols to the end of sequence
// (ITU-R M.493).
func (c Call) Check() (sum Symbol) {
	for _, s := range c.Symbols {
		sum ^= s
	}
	return sum ^ c.End
}

// Distress says that it is a distress alert, or concerns one: an acknowledgement or a relay.
func (c Call) Distress() bool {
	if len(c.Symbols) > 0 && c.Symbols[0] == formatDistress {
		return true
	}
	fields, _ := c.Fields()
	for _, f := range fields {
		if f.Name == "category" && f.Value == categories[categoryDistress] {
			return true
		}
	}
	return false
}

// Field is a part of a call in words.
type Field struct{ Name, Value string }

// Fields are the parts of a call, the kind of call first, its end last; it fails if the symbols are no call of the standard.
func (c Call) Fields() ([]Field, error) {
	var all []Field
	at := 0
	for {
		left := c.Symbols[at:]
		p, more := next(c.Symbols[:at], len(left) > 0 && left[0] == positionFollows)
		if !more || p.optional && len(left) == 0 {
			break
		}
		if p.count > len(left) {
			return all, fmt.Errorf("the call ends before its %s", p.name)
		}
		value, ok := p.words(left[:p.count])
		if !ok {
			return all, fmt.Errorf("symbols %v are no %s", left[:p.count], p.name)
		}
		all = append(all, Field{p.name, value})
		at += p.count
	}
	if at < len(c.Symbols) {
		return all, fmt.Errorf("%d symbols too many, from %v on", len(c.Symbols)-at, c.Symbols[at])
	}
	end, ok := ends[c.End]
	if !ok {
		return all, fmt.Errorf("symbol %d is no end of sequence", c.End)
	}
	return append(all, Field{"end", end}), nil
}

// restrict has symbols that a part of a call cannot have be none, the parts being those of a call as it seems to be.
func restrict(likely []*likelihood, seem []Symbol) {
	for at := 0; at < len(seem); {
		p, more := next(seem[:at], seem[at] == positionFollows)
		if !more {
			return
		}
		for i := at; i < min(at+p.count, len(seem)); i++ {
			for s := range likely[i] {
				if !p.allows(i-at, Symbol(s)) {
					likely[i][s] = impossible
				}
			}
		}
		at += p.count
	}
}

// impossible is the log-likelihood of what cannot be.
const impossible = -1000

// String is the call in words, as [Parse] reads them, or what is wrong with it.
func (c Call) String() string {
	fields, err := c.Fields()
	if err != nil {
		return err.Error()
	}
	parts := []string{fields[0].Value}
	for _, f := range fields[1:] {
		parts = append(parts, f.Name+" "+f.Value)
	}
	return strings.Join(parts, "; ")
}

// Parse is the call of a line such as
//
//	distress alert; from 299000001; nature fire or explosion; position 54-12N 010-33E; time 12:34; then J3E telephone; end none
//
// which is what [Call.String] makes. What is in round brackets is not read; an end that is not given is "none".
func Parse(line string) (c Call, err error) {
	given := map[string]string{}
	for i, part := range strings.Split(bracketsOff(line), ";") {
		part = strings.TrimSpace(part)
		name := partOf(part)
		if i == 0 {
			name, part = "call", "call "+part
		}
		if name == "" {
			return c, fmt.Errorf("%q is no part of a call", part)
		}
		if _, twice := given[name]; twice {
			return c, fmt.Errorf("there are two parts %q", name)
		}
		given[name] = strings.TrimSpace(strings.TrimPrefix(part, name))
	}
	end := given["end"]
	delete(given, "end")
	for {
		_, report := given[reportPart.name]
		p, more := next(c.Symbols, report)
		value, there := given[p.name]
		if !more || p.optional && !there {
			break
		}
		if !there {
			return c, fmt.Errorf("%q says nothing of %q", line, p.name)
		}
		symbols, ok := p.symbols(value)
		if !ok {
			return c, fmt.Errorf("%q is no %s", value, p.name)
		}
		c.Symbols = append(c.Symbols, symbols...)
		delete(given, p.name)
	}
	for name := range given {
		return c, fmt.Errorf("this call has no %q", name)
	}
	if c.End, err = endOf(end); err != nil {
		return c, err
	}
	return c, nil
}

// bracketsOff is a line without what is in round brackets.
func bracketsOff(line string) string {
	for {
		a := strings.IndexByte(line, '(')
		b := strings.IndexByte(line, ')')
		if a < 0 || b < a {
			return line
		}
		line = line[:a] + line[b+1:]
	}
}
