package daylog

import (
	"bytes"
	"hash/crc32"
	"time"
)

var (
	lineStart   = []byte(`{"n":`)
	kindMark    = []byte(`,"k":"`)
	wallMark    = []byte(`,"w":"`)
	monoMark    = []byte(`","m":`)
	sumMark     = []byte(`,"c":"`)
	headerStart = []byte(`{"n":0,"k":"log","v":`)
)

// decoder reads lines quickly: it keeps the kinds and zones it has seen and
// takes the bodies from blocks, so that a million events open within seconds.
type decoder struct {
	kinds map[string]string
	zones map[int]*time.Location
	block []byte
}

// line decodes one whole line and verifies its checksum. It reports false for
// anything that is not exactly the written form.
func (d *decoder) line(b []byte) (Record, bool) {
	r := Record{Bytes: b}
	if len(b) < len(lineStart)+tailLen || !bytes.HasPrefix(b, lineStart) {
		return r, false
	}
	end := len(b) - tailLen
	var ok bool
	if r.Prev, r.Sum, ok = tailSums(b[end:]); !ok || crc32.Checksum(b[:len(b)-16], castagnoli) != r.Sum {
		return r, false
	}
	at := len(lineStart)
	if r.N, at, ok = digits(b, at); !ok || !bytes.HasPrefix(b[at:], kindMark) {
		return r, false
	}
	at += len(kindMark)
	stop := bytes.IndexByte(b[at:], '"')
	if stop < 1 || stop > maxKind {
		return r, false
	}
	r.Kind = d.kind(b[at : at+stop])
	at += stop + 1
	if r.N == 0 || r.Kind == KindHeader {
		return r, r.N == 0 && r.Kind == KindHeader && len(b) <= MaxHeader
	}
	if len(b) > MaxKept || len(b) > MaxLine && r.Kind != KindKept {
		return r, false
	}
	if !bytes.HasPrefix(b[at:], wallMark) || at+len(wallMark)+stampLen > end {
		return r, false
	}
	at += len(wallMark)
	if r.Wall, ok = d.wall(b[at : at+stampLen]); !ok {
		return r, false
	}
	at += stampLen
	if !bytes.HasPrefix(b[at:], monoMark) {
		return r, false
	}
	if r.Mono, at, ok = digits(b, at+len(monoMark)); !ok || at > end || at < end && b[at] != ',' {
		return r, false
	}
	r.Body = d.body(b[min(at+1, end):end])
	return r, true
}

// tailSums reads ,"p":"xxxxxxxx","c":"xxxxxxxx"}.
func tailSums(t []byte) (prev, sum uint32, ok bool) {
	if string(t[:6]) != `,"p":"` || string(t[14:21]) != `","c":"` || string(t[29:]) != `"}` {
		return 0, 0, false
	}
	prev, ok = hex32(t[6:14])
	sum, ok2 := hex32(t[21:29])
	return prev, sum, ok && ok2
}

func hex32(b []byte) (v uint32, ok bool) {
	for _, c := range b[:8] {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		default:
			return 0, false
		}
		v = v<<4 | uint32(c)
	}
	return v, true
}

// digits reads a JSON integer without sign, at most maxInt.
func digits(b []byte, at int) (v int64, next int, ok bool) {
	from := at
	for at < len(b) && at-from < 17 && b[at] >= '0' && b[at] <= '9' {
		v = v*10 + int64(b[at]-'0')
		at++
	}
	ok = at > from && v <= maxInt && (b[from] != '0' || at == from+1)
	return v, at, ok
}

func (d *decoder) kind(b []byte) string {
	if k, ok := d.kinds[string(b)]; ok {
		return k
	}
	if d.kinds == nil {
		d.kinds = make(map[string]string)
	}
	k := string(b)
	if len(d.kinds) < 4096 {
		d.kinds[k] = k
	}
	return k
}

// wall reads 2006-01-02T15:04:05.000-07:00 and nothing else. time.Parse would
// do, at four times the cost for a million lines.
func (d *decoder) wall(b []byte) (time.Time, bool) {
	if len(b) != stampLen || b[4] != '-' || b[7] != '-' || b[10] != 'T' || b[13] != ':' ||
		b[16] != ':' || b[19] != '.' || b[26] != ':' || b[23] != '+' && b[23] != '-' {
		return time.Time{}, false
	}
	var v [9]int
	for i, p := range [9][2]int{{0, 4}, {5, 7}, {8, 10}, {11, 13}, {14, 16}, {17, 19}, {20, 23}, {24, 26}, {27, 29}} {
		for _, c := range b[p[0]:p[1]] {
			if c < '0' || c > '9' {
				return time.Time{}, false
			}
			v[i] = v[i]*10 + int(c-'0')
		}
	}
	if v[0] < 1 || v[1] < 1 || v[1] > 12 || v[2] < 1 || v[3] > 23 || v[4] > 59 || v[5] > 59 || v[7] > 23 || v[8] > 59 {
		return time.Time{}, false
	}
	east := (v[7]*60 + v[8]) * 60
	if b[23] == '-' {
		east = -east
	}
	t := time.Date(v[0], time.Month(v[1]), v[2], v[3], v[4], v[5], v[6]*1_000_000, d.zone(east))
	return t, t.Day() == v[2] // 31 April would have become 1 May
}

func (d *decoder) zone(east int) *time.Location {
	if east == 0 {
		return time.UTC
	}
	if z, ok := d.zones[east]; ok {
		return z
	}
	if d.zones == nil {
		d.zones = make(map[int]*time.Location)
	}
	z := time.FixedZone("", east)
	d.zones[east] = z
	return z
}

// body wraps the inner fields in braces, out of a shared block.
func (d *decoder) body(inner []byte) []byte {
	need := len(inner) + 2
	if len(d.block)+need > cap(d.block) {
		d.block = make([]byte, 0, max(64<<10, need))
	}
	from := len(d.block)
	d.block = append(append(append(d.block, '{'), inner...), '}')
	return d.block[from:len(d.block):len(d.block)]
}
