package daylog

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"math"
	"strconv"
	"sync"
	"time"
)

// Limits of the wire form, in bytes.
const (
	// MaxLine bounds an event line without its newline: one page, so that one
	// write is one page of the file system and a torn end stays short.
	MaxLine = 4096
	// MaxKept bounds a line that carries another line as a string (KindKept):
	// escaping at most doubles MaxLine, the rest is its own frame.
	MaxKept = 3 * MaxLine
	// MaxHeader bounds the header, which carries the plan and its data sheets
	// whole; a long plan with ten sheets is about 60 kB.
	MaxHeader = 1 << 20
	// Version is the major version written. A newer one is read only.
	Version = 1

	maxInt   = 1<<53 - 1 // RFC 7493: what every JSON reader holds exactly
	maxKind  = 64
	zeroSum  = "00000000"
	stampLen = 29
	tailLen  = 31 // ,"p":"xxxxxxxx","c":"xxxxxxxx"}
)

// Kinds the log writes itself; all others belong to the caller.
const (
	KindHeader = "log"            // line 0
	KindOpened = "session.opened" // boot, app, found: what Open met
	KindSealed = "day.sealed"     // count and sha256 of everything before it
	KindKept   = "line.kept"      // another line, whole: id, line
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Record is one event as it stands in a log.
type Record struct {
	N      int64           // number within its writer, from 1; 0 is the header
	Kind   string          // for example "batch.started"
	Wall   time.Time       // wall clock, to the millisecond, zone as written
	Mono   int64           // ms of a clock that counts sleep, since boot
	Body   json.RawMessage // the event's own flat fields as one JSON object
	Writer string          // writer id, 32 hex
	Prev   uint32          // checksum of the line before
	Sum    uint32          // checksum of this line
	Bytes  []byte          // the line as written, without newline; do not change
}

// Field decodes one of the event's own fields into v and reports whether it is
// there and fits.
func (r Record) Field(name string, v any) bool {
	var all map[string]json.RawMessage
	if json.Unmarshal(r.Body, &all) != nil {
		return false
	}
	raw, ok := all[name]
	return ok && json.Unmarshal(raw, v) == nil
}

// Header is the first line of a log.
type Header struct {
	Version int             // major version of the wire form
	Station string          // one letter A-Z
	Writer  string          // 128 random bits as 32 hex
	Install string          // which installation began the file
	Day     string          // day of the pour, 2006-01-02
	App     string          // program and version that wrote it
	Plan    json.RawMessage // plan and sheet texts carried whole; any JSON value
	From    string          // writer id of the log this one goes on from, or ""
	Wall    time.Time       // when the file was begun
	Sum     uint32          // checksum of the header line
	Bytes   []byte          // the line as written; do not change
}

// FileName is the name a log with this header bears.
func (h Header) FileName() string { return h.Station + "-" + h.Writer[:8] + ".jsonl" }

// appendHead starts a line up to and including the clock readings.
func appendHead(dst []byte, n int64, kind string) []byte {
	dst = append(dst, `{"n":`...)
	dst = strconv.AppendInt(dst, n, 10)
	dst = append(dst, `,"k":"`...)
	dst = append(dst, kind...)
	return append(dst, '"')
}

// appendWall writes 2006-01-02T15:04:05.000-07:00. By hand, since every event
// pays for it; a test holds it against package time.
func appendWall(dst []byte, wall time.Time) []byte {
	year, month, day := wall.Date()
	hour, minute, second := wall.Clock()
	_, east := wall.Zone()
	sign := byte('+')
	if east < 0 {
		sign, east = '-', -east
	}
	dst = append(dst, `,"w":"`...)
	dst = append2(append2(dst, year/100), year%100)
	dst = append2(append(dst, '-'), int(month))
	dst = append2(append(dst, '-'), day)
	dst = append2(append(dst, 'T'), hour)
	dst = append2(append(dst, ':'), minute)
	dst = append2(append(dst, ':'), second)
	ms := wall.Nanosecond() / 1e6
	dst = append2(append(dst, '.', byte('0'+ms/100)), ms%100)
	dst = append2(append(dst, sign), east/3600)
	dst = append2(append(dst, ':'), east/60%60)
	return append(dst, '"')
}

func append2(dst []byte, v int) []byte { return append(dst, byte('0'+v/10), byte('0'+v%10)) }

// appendTail ends a line: chain, then the checksum over all before it. start
// is where the line begins in dst.
func appendTail(dst []byte, start int, prev uint32) ([]byte, uint32) {
	dst = append(dst, `,"p":"`...)
	dst = appendSum(dst, prev)
	dst = append(dst, '"')
	sum := crc32.Checksum(dst[start:], castagnoli)
	dst = append(dst, `,"c":"`...)
	dst = appendSum(dst, sum)
	return append(dst, '"', '}'), sum
}

// fixedZone keeps the zones it made: a machine has one or two in a day.
func fixedZone(east int) *time.Location {
	if east == 0 {
		return time.UTC
	}
	if z, ok := zones.Load(east); ok {
		return z.(*time.Location)
	}
	z, _ := zones.LoadOrStore(east, time.FixedZone("", east))
	return z.(*time.Location)
}

var zones sync.Map // seconds east of UTC → *time.Location

func appendSum(dst []byte, sum uint32) []byte {
	return hex.AppendEncode(dst, []byte{byte(sum >> 24), byte(sum >> 16), byte(sum >> 8), byte(sum)})
}

// encodeEvent makes the line of an event, without newline. body is a JSON
// object of flat fields or empty, at.Wall as toMillis makes it.
func encodeEvent(n int64, kind string, at Reading, body []byte, prev uint32) ([]byte, uint32, error) {
	if err := checkKind(kind); err != nil {
		return nil, 0, err
	}
	ms, err := checkReading(at)
	if err != nil {
		return nil, 0, err
	}
	inner, err := innerFields(body)
	if err != nil {
		return nil, 0, fmt.Errorf("event %s: %w", kind, err)
	}
	line := make([]byte, 0, len(inner)+192)
	line = appendWall(appendHead(line, n, kind), at.Wall)
	line = strconv.AppendInt(append(line, `,"m":`...), ms, 10)
	if len(inner) > 0 {
		line = append(append(line, ','), inner...)
	}
	line, sum := appendTail(line, 0, prev)
	limit := MaxLine
	if kind == KindKept {
		limit = MaxKept
	}
	if len(line) > limit {
		return nil, 0, fmt.Errorf("event %s: %d bytes, at most %d fit: %w", kind, len(line), limit, ErrTooLong)
	}
	return line, sum, nil
}

func checkKind(kind string) error {
	ok := kind != "" && len(kind) <= maxKind && kind != KindHeader && kind[0] >= 'a' && kind[0] <= 'z'
	for i := 0; ok && i < len(kind); i++ {
		c := kind[i]
		ok = c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '.' || c == '_' || c == '-'
	}
	if !ok {
		return fmt.Errorf("event kind %q: use small letters, digits, dots, at most %d: %w", kind, maxKind, ErrBody)
	}
	return nil
}

func checkReading(at Reading) (ms int64, err error) {
	ms = at.Mono.Milliseconds()
	if ms < 0 || at.Wall.Year() < 1 || at.Wall.Year() > 9999 {
		return 0, fmt.Errorf("clock reading %v, %v is out of range: %w", at.Wall, at.Mono, ErrBody)
	}
	return ms, nil
}

// innerFields checks a body and returns it without its braces.
func innerFields(body []byte) ([]byte, error) {
	if len(body) == 0 {
		return nil, nil
	}
	if err := checkObject(body, eventRules); err != nil {
		return nil, fmt.Errorf("%w: %w", err, ErrBody)
	}
	return body[1 : len(body)-1], nil
}

// toMillis is what the wire keeps of a wall time: milliseconds and the zone's
// distance from UTC, not its name.
func toMillis(t time.Time) time.Time {
	_, east := t.Zone()
	east -= east % 60
	t = t.Truncate(time.Millisecond)
	return t.In(fixedZone(east))
}

// encodeHeader makes the header line, without newline.
func encodeHeader(h Header, at Reading) ([]byte, uint32, error) {
	if _, err := checkReading(at); err != nil {
		return nil, 0, err
	}
	line := appendHead(nil, 0, KindHeader)
	line = append(line, `,"v":`...)
	line = strconv.AppendInt(line, Version, 10)
	for _, f := range []struct{ name, value string }{
		{"s", h.Station}, {"id", h.Writer}, {"inst", h.Install}, {"day", h.Day}, {"app", h.App}, {"from", h.From},
	} {
		if f.name == "from" && f.value == "" {
			continue
		}
		text, err := marshal(f.value)
		if err != nil {
			return nil, 0, err
		}
		line = append(append(append(append(line, `,"`...), f.name...), `":`...), text...)
	}
	if len(h.Plan) > 0 {
		var plan bytes.Buffer
		if err := json.Compact(&plan, h.Plan); err != nil {
			return nil, 0, fmt.Errorf("header: the plan is not JSON (%v): %w", err, ErrBody)
		}
		line = append(append(line, `,"plan":`...), plan.Bytes()...)
	}
	line = appendWall(line, toMillis(at.Wall))
	line, sum := appendTail(line, 0, 0)
	if len(line) > MaxHeader {
		return nil, 0, fmt.Errorf("header: plan and sheets make %d bytes, at most %d fit: %w", len(line), MaxHeader, ErrTooLong)
	}
	if err := checkObject(line, headerRules); err != nil {
		return nil, 0, fmt.Errorf("header: %w: %w", err, ErrBody)
	}
	return line, sum, nil
}

// marshal is json.Marshal without the HTML escapes that only make a log hard
// to read.
func marshal(v any) ([]byte, error) {
	buf := bytes.NewBuffer(make([]byte, 0, 256))
	enc := json.NewEncoder(buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, fmt.Errorf("%v: %w", err, ErrBody)
	}
	return bytes.TrimRight(buf.Bytes(), "\n"), nil
}

// bodyBytes turns what a caller hands to Append into compact JSON.
func bodyBytes(body any) ([]byte, error) {
	var ready []byte
	switch b := body.(type) {
	case nil:
		return nil, nil
	case []byte:
		ready = b
	case json.RawMessage:
		ready = b
	default:
		return marshal(body)
	}
	var buf bytes.Buffer
	if err := json.Compact(&buf, ready); err != nil {
		return nil, fmt.Errorf("fields are not JSON (%v): %w", err, ErrBody)
	}
	return buf.Bytes(), nil
}

// ParseLine reads one whole line, header or event, as it stood in a log and
// checks it strictly: form, checksum, JSON, limits. It does not see the chain.
func ParseLine(line []byte) (Record, error) {
	var d decoder
	r, ok := d.line(line)
	if !ok {
		return Record{}, ErrLine
	}
	if err := checkObject(line, rulesFor(r)); err != nil {
		return Record{}, fmt.Errorf("%w: %w", err, ErrLine)
	}
	return r, nil
}

func rulesFor(r Record) rules {
	if r.N == 0 {
		return headerRules
	}
	return eventRules.whole()
}

// headerFields is the header as JSON; unknown names of a newer minor version
// are passed over, the line itself keeps them.
type headerFields struct {
	V    int             `json:"v"`
	S    string          `json:"s"`
	ID   string          `json:"id"`
	Inst string          `json:"inst"`
	Day  string          `json:"day"`
	App  string          `json:"app"`
	From string          `json:"from"`
	Plan json.RawMessage `json:"plan"`
	W    string          `json:"w"`
}

func parseHeader(r Record) (Header, error) {
	var f headerFields
	if err := json.Unmarshal(r.Bytes, &f); err != nil {
		return Header{}, fmt.Errorf("header: %w", err)
	}
	var d decoder
	wall, ok := d.wall([]byte(f.W))
	if !ok {
		return Header{}, fmt.Errorf("header: time %q: %w", f.W, ErrBody)
	}
	h := Header{
		Version: f.V, Station: f.S, Writer: f.ID, Install: f.Inst, Day: f.Day, App: f.App,
		Plan: f.Plan, From: f.From, Wall: wall, Sum: r.Sum, Bytes: r.Bytes,
	}
	return h, h.check()
}

// check looks at the parts of a header that become names or numbers.
func (h Header) check() error {
	if h.Version < 1 || h.Version > math.MaxInt32 {
		return fmt.Errorf("header: version %d: %w", h.Version, ErrBody)
	}
	if len(h.Station) != 1 || h.Station[0] < 'A' || h.Station[0] > 'Z' {
		return fmt.Errorf("header: station %q: use one letter, A to Z: %w", h.Station, ErrBody)
	}
	if !isWriter(h.Writer) || h.From != "" && !isWriter(h.From) {
		return fmt.Errorf("header: writer id %q is not 32 hex: %w", h.Writer, ErrBody)
	}
	if _, err := time.Parse(time.DateOnly, h.Day); err != nil {
		return fmt.Errorf("header: day %q: write it as 2026-05-04: %w", h.Day, ErrBody)
	}
	return nil
}

func isWriter(id string) bool {
	if len(id) != 32 {
		return false
	}
	for i := range len(id) {
		if !isHex(id[i]) {
			return false
		}
	}
	return true
}

func isHex(c byte) bool { return c >= '0' && c <= '9' || c >= 'a' && c <= 'f' }
