package daylog

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"
)

const (
	maxDepth       = 3  // the object, a list in it, a list of pairs in that
	maxHeaderDepth = 12 // the header carries a plan as its author nested it
	maxNames       = 512
)

// rules say what one JSON object may hold.
type rules struct {
	depth    int
	objects  bool // objects inside
	reserved bool // the log's own names n k w m p c
}

var (
	eventRules  = rules{depth: maxDepth}
	headerRules = rules{depth: maxHeaderDepth, objects: true, reserved: true}
)

// whole are the rules for a finished line instead of a body.
func (r rules) whole() rules { r.reserved = true; return r }

// checkObject checks one JSON object strictly before anything decodes it:
// UTF-8, no unpaired surrogates, no name twice, depth, finite numbers,
// integers within ±(2^53-1), nothing behind it. Source: RFC 8259, RFC 7493.
func checkObject(b []byte, r rules) error {
	p := strict{b: b, rules: r}
	if len(b) == 0 || b[0] != '{' {
		return fmt.Errorf("not a JSON object")
	}
	if err := p.object(1); err != nil {
		return fmt.Errorf("byte %d: %w", p.at, err)
	}
	if p.at != len(b) {
		return fmt.Errorf("byte %d: something behind the object", p.at)
	}
	return nil
}

type strict struct {
	b  []byte
	at int
	rules
}

func (p *strict) object(depth int) error {
	if depth > p.depth {
		return fmt.Errorf("nested more than %d deep", p.depth)
	}
	p.at++ // {
	var room [24][]byte
	names := room[:0]
	var many map[string]bool // beyond 24 names, to stay linear
	for n := 0; ; n++ {
		if p.peek() == '}' && n == 0 {
			p.at++
			return nil
		}
		name, err := p.name()
		if err != nil {
			return err
		}
		if depth == 1 && !p.reserved && isReserved(name) {
			return fmt.Errorf("the name %q belongs to the log", name)
		}
		if n >= maxNames {
			return fmt.Errorf("more than %d names", maxNames)
		}
		if names, many, err = addName(names, many, name); err != nil {
			return err
		}
		if p.peek() != ':' {
			return fmt.Errorf("a colon is missing")
		}
		p.at++
		if err := p.value(depth); err != nil {
			return err
		}
		switch p.peek() {
		case ',':
			p.at++
		case '}':
			p.at++
			return nil
		default:
			return fmt.Errorf("a comma or brace is missing")
		}
	}
}

func addName(names [][]byte, many map[string]bool, name []byte) ([][]byte, map[string]bool, error) {
	if many != nil {
		if many[string(name)] {
			return names, many, fmt.Errorf("the name %q stands twice", name)
		}
		many[string(name)] = true
		return names, many, nil
	}
	for _, old := range names {
		if string(old) == string(name) {
			return names, nil, fmt.Errorf("the name %q stands twice", name)
		}
	}
	if len(names) == cap(names) {
		many = make(map[string]bool, 2*len(names))
		for _, old := range names {
			many[string(old)] = true
		}
		many[string(name)] = true
		return names, many, nil
	}
	return append(names, name), nil, nil
}

func isReserved(name []byte) bool {
	if len(name) != 1 {
		return false
	}
	switch name[0] {
	case 'n', 'k', 'w', 'm', 'p', 'c':
		return true
	}
	return false
}

// name reads a member name and returns it unescaped, so that "a" and "\u0061"
// count as the same.
func (p *strict) name() ([]byte, error) {
	if p.peek() != '"' {
		return nil, fmt.Errorf("a name in quotes is missing")
	}
	from := p.at
	escaped, err := p.text()
	if err != nil {
		return nil, err
	}
	raw := p.b[from+1 : p.at-1]
	if !escaped {
		return raw, nil
	}
	var s string
	if err := json.Unmarshal(p.b[from:p.at], &s); err != nil {
		return nil, err
	}
	return []byte(s), nil
}

func (p *strict) value(depth int) error {
	switch c := p.peek(); {
	case c == '"':
		_, err := p.text()
		return err
	case c == '{':
		if !p.objects {
			return fmt.Errorf("an object inside: events are flat")
		}
		return p.object(depth + 1)
	case c == '[':
		return p.list(depth + 1)
	case c == '-' || c >= '0' && c <= '9':
		return p.number()
	default:
		for _, word := range [...]string{"true", "false", "null"} {
			if len(p.b)-p.at >= len(word) && string(p.b[p.at:p.at+len(word)]) == word {
				p.at += len(word)
				return nil
			}
		}
		return fmt.Errorf("a value is missing")
	}
}

func (p *strict) list(depth int) error {
	if depth > p.depth {
		return fmt.Errorf("nested more than %d deep", p.depth)
	}
	p.at++ // [
	if p.peek() == ']' {
		p.at++
		return nil
	}
	for {
		if err := p.value(depth); err != nil {
			return err
		}
		switch p.peek() {
		case ',':
			p.at++
		case ']':
			p.at++
			return nil
		default:
			return fmt.Errorf("a comma or bracket is missing")
		}
	}
}

// text reads a string in quotes and reports whether it holds escapes.
func (p *strict) text() (escaped bool, err error) {
	p.at++
	for p.at < len(p.b) {
		switch c := p.b[p.at]; {
		case c == '"':
			p.at++
			return escaped, nil
		case c == '\\':
			escaped = true
			if err := p.escape(); err != nil {
				return escaped, err
			}
		case c < 0x20:
			return escaped, fmt.Errorf("a control character in a text")
		case c < utf8.RuneSelf:
			p.at++
		default:
			r, size := utf8.DecodeRune(p.b[p.at:])
			if r == utf8.RuneError && size == 1 {
				return escaped, fmt.Errorf("not UTF-8")
			}
			p.at += size
		}
	}
	return escaped, fmt.Errorf("a text without an end")
}

func (p *strict) escape() error {
	if p.at+1 >= len(p.b) {
		return fmt.Errorf("a text without an end")
	}
	switch p.b[p.at+1] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		p.at += 2
		return nil
	case 'u':
		v, ok := p.unicode(p.at)
		p.at += 6
		if ok && v >= 0xd800 && v < 0xdc00 { // a pair, or nothing
			low, ok2 := p.unicode(p.at)
			ok = ok2 && low >= 0xdc00 && low < 0xe000
			p.at += 6
		} else if v >= 0xdc00 && v < 0xe000 {
			ok = false
		}
		if !ok {
			p.at = min(p.at, len(p.b))
			return fmt.Errorf("a bad \\u escape")
		}
		return nil
	}
	return fmt.Errorf("a bad escape")
}

func (p *strict) unicode(at int) (uint64, bool) {
	if at+6 > len(p.b) || p.b[at] != '\\' || p.b[at+1] != 'u' {
		return 0, false
	}
	v, err := strconv.ParseUint(string(p.b[at+2:at+6]), 16, 32)
	return v, err == nil
}

func (p *strict) number() error {
	from, whole := p.at, true
	if p.b[p.at] == '-' {
		p.at++
	}
	first := p.at
	p.run()
	n := p.at - first
	if n == 0 || n > 1 && p.b[first] == '0' {
		return fmt.Errorf("a bad number")
	}
	if p.next() == '.' {
		whole = false
		p.at++
		if p.run() == 0 {
			return fmt.Errorf("a bad number")
		}
	}
	if c := p.next(); c == 'e' || c == 'E' {
		whole = false
		p.at++
		if c := p.next(); c == '+' || c == '-' {
			p.at++
		}
		if p.run() == 0 {
			return fmt.Errorf("a bad number")
		}
	}
	if whole && n <= 15 {
		return nil
	}
	return checkNumber(string(p.b[from:p.at]), whole)
}

func checkNumber(text string, whole bool) error {
	if whole {
		v, err := strconv.ParseInt(text, 10, 64)
		if err != nil || v > maxInt || v < -maxInt {
			return fmt.Errorf("the integer %.40s is beyond ±(2^53-1)", text)
		}
		return nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) {
		return fmt.Errorf("the number %.40s is too large", text)
	}
	return nil
}

func (p *strict) run() (n int) {
	for p.at < len(p.b) && p.b[p.at] >= '0' && p.b[p.at] <= '9' {
		p.at++
		n++
	}
	return n
}

// next is the byte at hand; 0 at the end. Lines are compact, so peek needs no
// skipping of spaces: a space where a token belongs is an error.
func (p *strict) next() byte {
	if p.at < len(p.b) {
		return p.b[p.at]
	}
	return 0
}

func (p *strict) peek() byte { return p.next() }
