package planfile

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// MaxFile is the longest plan or sheet read, bytes. A plan of twenty zones with
// all its figures is a tenth of it, and both files together with their JSON
// escapes stay below the header's limit in the day log.
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
	return s, nil
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
	what, mend := wordSyntax(pe, d.data[off:])
	return off, d.at(off, what, mend)
}

// wordSyntax says a syntax error in the crew's words. rest is the text from the
// fault on.
func wordSyntax(pe toml.ParseError, rest string) (what, mend string) {
	has := func(s string) bool { return strings.Contains(pe.Message, s) }
	quote := `put words, and figures with a unit, in quotes: depth = "6 mm"`
	switch {
	case has("already been defined"), has("already created"), has("duplicate"):
		return "this stands twice", "keep one of the two; zones, bays and the like have double brackets: [[zone]]"
	case has("top-level item to end with"):
		return "there is more after the value", "write one key to a line; " + quote
	case has("expected value but found '\\n'"), has("expected value but found '\\r'"), rest == "" && has("expected value"):
		return "the value is missing", "write it after the =, or take the key out"
	case has("expected value"):
		return "the value is not a number, a text in quotes, true or false, a time or a list", quote
	case has("cannot contain newlines"), has(`expected '"'`), has("expected \"'\""):
		return "the closing quote is missing", "end the text with a quote on the same line"
	case has("unexpected EOF"):
		return "the file ends too early", "close the bracket or the quote that is open"
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

// leaveOut takes the faulty line out of doc, keeping every offset, so that the
// rest can be read. It declines when the fault lies inside a value of several
// lines: then it is not known where the rest begins.
//
// The keys below a faulty header belong nowhere, so the header is replaced by
// one of a name that no plan has.
func (d *document) leaveOut(doc string, off int) (string, bool) {
	if off == len(doc) && off > 0 {
		off--
	}
	line := d.lineOf(off)
	from, to := d.starts[line], len(doc)
	if line+1 < len(d.starts) {
		to = d.starts[line+1] - 1
	}
	var head map[string]any
	if decode(doc[:from], &head) != nil || strings.TrimSpace(doc[from:to]) == "" {
		return "", false
	}
	stand := ""
	if strings.HasPrefix(strings.TrimLeft(doc[from:to], " \t"), "[") {
		n := fmt.Sprint(len(d.skipped))
		d.skipped[n] = true
		stand = "[" + n + "]"
	}
	if len(stand) > to-from {
		return "", false
	}
	return doc[:from] + stand + strings.Repeat(" ", to-from-len(stand)) + doc[to:], true
}
