// Package daylog keeps the log of a pour day: the only truth there is. It
// writes one event at a time so that a power cut, a full or dying disk, a
// second program or a wrong clock never costs a confirmed event, and it reads
// back whatever is left of a file. It knows nothing of floors or batches: an
// event is a kind and some flat fields.
//
// # Wire form, version 1
//
// A folder a day, in it one file per writer, named by station letter and the
// first 8 hex of the writer id: A-7f3c91d2.jsonl. UTF-8, one JSON object a
// line, LF behind it:
//
//	{"n":0,"k":"log","v":1,"s":"A","id":"…","inst":"…","day":"…","app":"…","plan":{…},"w":"2026-05-04T05:02:11.004-07:00","p":"00000000","c":"5d1e0a7b"}
//	{"n":2,"k":"batch.started","w":"…","m":85453497,"batch":31,"mixer":2,"p":"19c2f3d0","c":"784c8d21"}
//	 |     |                   |       |            |                    |              |
//	 |     kind                |       |            event's own fields   |              CRC-32C of every byte before ,"c":
//	 number, no gaps           |       clock that counts sleep, ms       c of the line before
//	                           wall clock
//
// Header line: at most MaxHeader bytes (it carries plan and sheets whole).
// Event line: at most MaxLine bytes, no objects inside, arrays at most
// maxDepth deep; so the bytes that start a line can never occur inside one.
// Repeated and salvaged events travel inside an event of kind KindKept
// (at most MaxKept bytes). Integers stay within ±(2^53-1); names are not
// repeated in an object (RFC 7493, "I-JSON").
//
// # What a file can look like
//
//	bytes                                              verdict        what Open does
//	all verify                                         clean          go on
//	only newlines wrong                                separator      mend
//	unfinished end, one line at most, nothing behind   torn tail      copy aside, cut, go on
//	last line whole, checksum wrong                    suspect last   ask: keep or drop
//	unfinished end longer, or a line start inside      damaged tail   never cut: go on in a new file
//	a verified line behind the bad place               damaged middle never cut: go on in a new file
//	ours, but no header                                torn creation  copy aside, start again
//	a newer major version                              newer          read only
//	anything else                                      foreign        touch nothing
//
// Torn tail and damage can be told apart because every line is flushed before
// the next is written: at most one unflushed line exists.
//
// # Limits
//
// A log that lost exactly its last whole lines, newline included, is a shorter
// sound log: no single file can show that. A second copy, another station's
// copy or the seal on the printed record does.
//
// CRC-32C (Castagnoli) is that of RFC 3720 appendix B.4. It finds accidents,
// not forgery; the seal (SHA-256, FIPS 180-4) on paper is there for that.
//
// Nothing here reads a clock by itself: readings come through Clock.
package daylog
