package planfile

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// scan finds the place of every key, table and list item of a TOML document.
// It relies on the document having been accepted by the TOML library and only
// follows its outline: strings, comments and brackets are stepped over, values
// are not judged. twice lists keys written a second time, which the library
// lets pass in some forms (a.b = 1 and then a = 2).
func scan(doc string) (root *place, twice []int) {
	s := &scanner{doc: doc}
	root = &place{lines: true}
	table := root
	for s.blank(true); s.i < len(doc); s.blank(true) {
		before := s.i
		switch {
		case strings.HasPrefix(doc[s.i:], "[["):
			s.i += 2
			table = s.header(root, true)
		case doc[s.i] == '[':
			s.i++
			table = s.header(root, false)
		default:
			s.pair(table)
		}
		if s.i == before { // not TOML: cannot be after the library's check
			break
		}
	}
	return root, s.twice
}

type scanner struct {
	doc   string
	i     int
	twice []int
}

// blank steps over spaces and, with lines set, line ends and comments.
func (s *scanner) blank(lines bool) {
	for s.i < len(s.doc) {
		switch c := s.doc[s.i]; {
		case c == ' ' || c == '\t' || lines && (c == '\n' || c == '\r'):
			s.i++
		case lines && c == '#':
			if n := strings.IndexByte(s.doc[s.i:], '\n'); n >= 0 {
				s.i += n
			} else {
				s.i = len(s.doc)
			}
		default:
			return
		}
	}
}

// name is one part of a key and where it stands.
type name struct {
	text string
	at   int
}

// names reads a dotted key up to what ends it.
func (s *scanner) names() (out []name) {
	for {
		s.blank(false)
		n := name{at: s.i}
		if s.i < len(s.doc) && (s.doc[s.i] == '"' || s.doc[s.i] == '\'') {
			n.text = s.quoted()
		} else {
			for s.i < len(s.doc) && !strings.ContainsRune(" \t\r\n.=]#,}[{", rune(s.doc[s.i])) {
				s.i++
			}
			n.text = s.doc[n.at:s.i]
		}
		out = append(out, n)
		s.blank(false)
		if s.i >= len(s.doc) || s.doc[s.i] != '.' {
			return out
		}
		s.i++
	}
}

// header reads the rest of [a.b] or [[a.b]] and gives the table it opens.
func (s *scanner) header(root *place, list bool) *place {
	names := s.names()
	for s.i < len(s.doc) && s.doc[s.i] == ']' {
		s.i++
	}
	at := names[0].at
	p := root
	for i, n := range names {
		k, first := p.kid(n.text, at)
		k.lines = true
		switch last := i == len(names)-1; {
		case last && list:
			k.items = append(k.items, &place{key: at, value: at, lines: true})
			k = k.items[len(k.items)-1]
		case len(k.items) > 0:
			k = k.items[len(k.items)-1]
		case last && first:
			k.key, k.value = at, at
		case last: // was implied by a longer header above
			k.key = at
		}
		p = k
	}
	return p
}

// pair reads "key = value" into table.
func (s *scanner) pair(table *place) {
	names := s.names()
	p := table
	for i, n := range names {
		k, first := p.kid(n.text, n.at)
		if last := i == len(names)-1; last && !first || !last && !first && !k.lines {
			s.twice = append(s.twice, n.at)
			k = &place{} // read on, into nothing
		} else if !last {
			k.lines = true
		}
		p = k
	}
	s.blank(false)
	if s.i < len(s.doc) && s.doc[s.i] == '=' {
		s.i++
	}
	s.blank(false)
	s.value(p)
}

// value steps over a value, noting the entries of lists and inline tables.
func (s *scanner) value(p *place) {
	p.value = s.i
	if s.i >= len(s.doc) {
		return
	}
	switch s.doc[s.i] {
	case '"', '\'':
		s.quoted()
	case '[':
		s.each(']', func() {
			item := &place{key: s.i}
			p.items = append(p.items, item)
			s.value(item)
		})
	case '{':
		s.each('}', func() { s.pair(p) })
	default:
		for s.i < len(s.doc) && !strings.ContainsRune("\r\n#,]}", rune(s.doc[s.i])) {
			s.i++
		}
	}
}

// each calls read at every entry between the bracket at hand and its end.
func (s *scanner) each(end byte, read func()) {
	s.i++
	for s.blank(true); s.i < len(s.doc) && s.doc[s.i] != end; s.blank(true) {
		before := s.i
		if s.doc[s.i] == ',' {
			s.i++
			continue
		}
		read()
		if s.i == before {
			return
		}
	}
	if s.i < len(s.doc) {
		s.i++
	}
}

// quoted steps over a string of any of the four kinds and returns its text as a
// key would have it (keys are never of the kind with three quotes).
func (s *scanner) quoted() string {
	q := s.doc[s.i]
	three := strings.Repeat(string(q), 3)
	if strings.HasPrefix(s.doc[s.i:], three) {
		s.i += 3
		for s.i < len(s.doc) && !strings.HasPrefix(s.doc[s.i:], three) {
			if q == '"' && s.doc[s.i] == '\\' {
				s.i++
			}
			s.i++
		}
		s.i = min(s.i+3, len(s.doc))
		for n := 0; n < 2 && s.i < len(s.doc) && s.doc[s.i] == q; n++ {
			s.i++ // up to two more quotes belong to the text
		}
		return ""
	}
	s.i++
	from := s.i
	for s.i < len(s.doc) && s.doc[s.i] != q && s.doc[s.i] != '\n' {
		if q == '"' && s.doc[s.i] == '\\' {
			s.i++
		}
		s.i++
	}
	s.i = min(s.i, len(s.doc))
	inner := s.doc[from:s.i]
	s.i = min(s.i+1, len(s.doc))
	if q == '"' {
		inner = unescape(inner)
	}
	return inner
}

var escapes = map[byte]string{
	'b': "\b", 't': "\t", 'n': "\n", 'f': "\f", 'r': "\r", 'e': "\x1b", '"': `"`, '\\': `\`,
}

var escapeDigits = map[byte]int{'x': 2, 'u': 4, 'U': 8}

// unescape reads the escapes of a basic string.
func unescape(s string) string {
	if !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 == len(s) {
			b.WriteByte(s[i])
			continue
		}
		i++
		if n := escapeDigits[s[i]]; n > 0 && i+n < len(s) {
			if v, err := strconv.ParseUint(s[i+1:i+1+n], 16, 32); err == nil && utf8.ValidRune(rune(v)) {
				b.WriteRune(rune(v))
			}
			i += n
			continue
		}
		b.WriteString(escapes[s[i]])
	}
	return b.String()
}
