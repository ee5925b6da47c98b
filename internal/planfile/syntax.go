package planfile

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// MaxFile is the longest plan, sheet or crew file read, bytes. A plan of twenty
// zones with all its figures is a tenth of it, and three such files, quotes and
// line ends escaped, still fit the header of a day log.
const MaxFile = 128 << 10

// maxSyntax is how many syntax errors of one file are worth listing.
const maxSyntax = 20

// document is one file, read as far as its syntax allows.
type document struct {
	*text
	root  *place
	value map[string]any
	// broken: lines were left out because of their syntax, so what is missing
	// may only seem so. unread: nothing at all could be read.
	broken, unread bool
	skipped        map[string]bool // headers that stand for lines left out
}

// readDocument reads the syntax of a file and lists what is wrong with it.
func readDocument(name string, data []byte) (d *document, ps []Problem) {
	d = &document{text: newText(name, "")}
	s, p := plainText(name, data)
	if p != nil {
		d.broken, d.unread, d.root = true, true, &place{}
		return d, []Problem{*p}
	}
	d.text = newText(name, s)
	d.skipped = map[string]bool{}
	doc := s
	for {
		d.value = nil
		err := decode(doc, &d.value)
		if err == nil {
			break
		}
		off, problem := d.syntax(err)
		ps = append(ps, problem)
		d.broken = true
		next, ok := d.leaveOut(doc, off)
		if !ok || len(ps) == maxSyntax {
			d.unread, d.root = true, &place{}
			return d, ps
		}
		doc = next
	}
	root, twice := scan(doc)
	d.root = root
	for _, off := range twice {
		ps = append(ps, d.at(off, "this key stands twice", "keep one of the two"))
	}
	return d, ps
}

// plainText checks what a text file must be and takes a byte order mark off.
func plainText(name string, data []byte) (string, *Problem) {
	fault := func(p Problem) (string, *Problem) { return "", &p }
	if len(data) > MaxFile {
		return fault(Problem{
			File: name, What: fmt.Sprintf("the file holds %d bytes", len(data)),
			Mend: fmt.Sprintf("give a plan of at most %d bytes", MaxFile),
		})
	}
	s := strings.TrimPrefix(string(data), "\ufeff")
	t := newText(name, s)
	if strings.HasPrefix(s, "\xff\xfe") || strings.HasPrefix(s, "\xfe\xff") {
		return fault(t.at(0, "the file is UTF-16", "save it as UTF-8"))
	}
	if !utf8.ValidString(s) {
		off := 0
		for {
			r, n := utf8.DecodeRuneInString(s[off:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			off += n
		}
		return fault(t.at(off, fmt.Sprintf("byte %#x is not UTF-8", s[off]), "save the file as UTF-8 (a degree sign from an older editor is a usual cause)"))
	}
	if off := strings.IndexByte(s, 0); off >= 0 {
		return fault(t.at(off, "there is a NUL byte", "save the file as plain text, UTF-8"))
	}
	if off := tooDeep(s); off >= 0 {
		return fault(t.at(off, "lists, tables or keys stand too deep in one another", fmt.Sprintf("a plan goes four deep; %d is the most that is read", maxDeep)))
	}
	return s, nil
}

// maxDeep is the deepest nesting, and the longest dotted key, handed to the
// library: its memory grows with the square of the depth.
const maxDeep = 50

// tooDeep is the offset at which the text goes deeper than maxDeep, −1 when it
// does not.
func tooDeep(doc string) int {
	s := &scanner{doc: doc}
	deep, dots := 0, 0
	for s.blank(true); s.i < len(doc); s.blank(true) {
		switch c := doc[s.i]; c {
		case '"', '\'':
			s.quoted()
			continue
		case '[', '{':
			deep, dots = deep+1, 0
		case ']', '}':
			deep, dots = max(0, deep-1), 0
		case '=', ',':
			dots = 0
		case '.':
			dots++
		}
		if deep > maxDeep || dots > maxDeep {
			return s.i
		}
		s.i++
		if s.i < len(doc) && doc[s.i] == '\n' {
			dots = 0
		}
	}
	return -1
}

// decode runs the library, whose own slips (it panics on them) become errors.
func decode(doc string, into *map[string]any) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("unreadable: %v", r)
		}
	}()
	_, err = toml.Decode(doc, into)
	return err
}

// syntax words the library's error and says where it stands.
func (d *document) syntax(err error) (off int, p Problem) {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return 0, d.at(0, "this is not TOML: "+err.Error(), "begin with one of the example plans")
	}
	off = max(0, min(pe.Position.Start, len(d.data)))
	for off < len(d.data) && (d.data[off] == ' ' || d.data[off] == '\t') {
		off++ // the library points at the gap before the fault
	}
	what, mend := wordSyntax(pe)
	return off, d.at(off, what, mend)
}

// wordSyntax says a syntax error in the crew's words.
func wordSyntax(pe toml.ParseError) (what, mend string) {
	has := func(s string) bool { return strings.Contains(pe.Message, s) }
	quote := `put words, and figures with a unit, in quotes: depth = "6 mm"`
	switch {
	case has("already been defined"), has("already created"), has("duplicate"):
		return "this stands twice", "keep one of the two; zones, bays and the like have double brackets: [[zone]]"
	case has("top-level item to end with"):
		return "there is more after the value", "write one key to a line; " + quote
	case has(`unexpected EOF; expected '"'`), has(`unexpected EOF; expected "'"`), has("cannot contain newlines"):
		return "the closing quote is missing", "end the text with a quote on the same line"
	case has("unexpected EOF"):
		return "the file ends too early", "close the bracket or the quote that is open, or write the value"
	case has("expected value but found '\\n'"), has("expected value but found '\\r'"):
		return "the value is missing", "write it after the =, or take the key out"
	case has("expected value"):
		return "the value is not a number, a text in quotes, true or false, a time or a list", quote
	case has("comma") && has("array"), has("array terminator"):
		return "the list is not closed, or a comma is missing", "write [1, 2, 3]; points are [[0, 0], [9, 0], [9, 14]]"
	case has("inline table"):
		return "the { } is not closed, or a comma is missing", `write { "10 °C" = "20 min", "20 °C" = "12 min" }`
	case has("table name"), has("table array"):
		return "the header is not right", "write [crew], or [[zone]] for a list"
	case has("expected '.' or '='"), has("key name appears blank"), has("bare keys"):
		return "this is not a key with its value", "write key = value, a note behind #, a key with other letters or spaces in quotes"
	case has("invalid datetime"):
		return "this is not a date and time", "write 2026-05-04T22:00:00-07:00"
	case has("invalid escape"):
		return "there is a backslash in the text", `write \\ for a backslash, or use single quotes`
	case has("control characters"):
		return "there is a control character", "take it out, or write the line again"
	case has("Invalid integer"), has("Invalid float"), has("out of range"):
		return "the number is not written plainly", "write it like 6 or 6.5"
	}
	return "this is not TOML (" + strings.TrimSuffix(pe.Message, ".") + ")", "compare the line with the example plans"
}

// startsPair matches a line that begins a header or a key with its value, not
// the next line of a list.
var startsPair = regexp.MustCompile(`^\s*(\[{1,2}\s*[A-Za-z"']|[A-Za-z0-9_."' -]+=)`)

// maxBack is how many beginnings of a key are tried when a fault lies lines
// below its key: a line inside a text of several lines may look like one, a few
// in a row do not.
const maxBack = 8

// leaveOut takes the key with the fault at off out of doc, all lines of its
// value with it, keeping every offset, so that the rest can be read. It
// declines when it cannot tell where the key begins.
//
// The keys below a faulty header belong nowhere, so the header is replaced by
// one of a name that no plan has.
func (d *document) leaveOut(doc string, off int) (string, bool) {
	line, ok := d.beginning(doc, d.lineOf(min(off, max(0, len(doc)-1))))
	if !ok {
		return "", false
	}
	from, to, stand := d.starts[line], d.endOf(line), ""
	if strings.HasPrefix(strings.TrimLeft(doc[from:to], " \t"), "[") {
		n := fmt.Sprint(len(d.skipped))
		d.skipped[n] = true
		stand = "[" + n + "]"
	} else {
		for line++; line < len(d.starts) && !startsPair.MatchString(d.textOf(doc, line)); line++ {
			to = d.endOf(line)
		}
	}
	if len(stand) > to-from {
		return "", false
	}
	blank := []byte(doc[from:to])
	for i, c := range blank {
		if c != '\n' && c != '\r' {
			blank[i] = ' '
		}
	}
	copy(blank, stand)
	return doc[:from] + string(blank) + doc[to:], true
}

// beginning is the line on which the key begins whose value holds line: the
// nearest above with nothing open before it.
func (d *document) beginning(doc string, line int) (int, bool) {
	for tries := 0; tries < maxBack; tries++ {
		var head map[string]any
		if strings.TrimSpace(d.textOf(doc, line)) != "" && decode(doc[:d.starts[line]], &head) == nil {
			return line, true
		}
		for line--; line >= 0 && !startsPair.MatchString(d.textOf(doc, line)); line-- {
		}
		if line < 0 {
			break
		}
	}
	return 0, false
}

// endOf is the offset behind the last character of a line, its line end left
// out.
func (d *document) endOf(line int) int {
	if line+1 < len(d.starts) {
		return d.starts[line+1] - 1
	}
	return len(d.data)
}

func (d *document) textOf(doc string, line int) string { return doc[d.starts[line]:d.endOf(line)] }
