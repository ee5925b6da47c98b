package daylog

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// ErrFull is a full disk, for file systems that have no error of their own.
var ErrFull = errors.New("no space left on the disk")

// Thresholds of the space lamp, in bytes.
const (
	// WarnFree: a long day with photos beside it still fits.
	WarnFree = 200 << 20
	// AlarmFree: five ballasts; time to make room now.
	AlarmFree = 20 << 20
	// BallastSize is room for about 25,000 events, far more than a day has.
	BallastSize = 4 << 20
)

// Level is how loud a lamp is.
type Level int

// The levels.
const (
	Calm Level = iota
	Warn
	Alarm
)

// Space is the lamp for free room on the log's disk.
type Space struct {
	Level Level
	Free  uint64 // bytes; 0 when unknown
	Words string // plain sentence, "" when calm
}

// Space says how the disk of the log stood at the last append.
func (l *Log) Space() Space {
	s := Space{Free: l.free}
	switch {
	case l.freeErr != nil:
		s.Level, s.Words = Warn, "The free space on the log's disk cannot be read. Look whether the disk is still there."
	case l.free < AlarmFree:
		s.Level = Alarm
		s.Words = fmt.Sprintf("Only %d MB free for the log. Make room now: delete or move other files.", l.free>>20)
	case l.free < WarnFree:
		s.Level = Warn
		s.Words = fmt.Sprintf("%d MB free for the log. Make room soon.", l.free>>20)
	}
	return s
}

func (l *Log) checkSpace() { l.free, l.freeErr = l.fs.Free(filepath.Dir(l.path)) }

// watchSpace looks once a second or every spaceEvery events, whichever is
// first: the lamp warns in good time, it does not guard the write.
func (l *Log) watchSpace(at Reading) {
	if l.spaceIn--; l.spaceIn > 0 && at.Mono-l.spaceAt < time.Second {
		return
	}
	l.spaceIn, l.spaceAt = spaceEvery, at.Mono
	l.checkSpace()
}

// spaceEvery times MaxLine is a quarter of a megabyte.
const spaceEvery = 64

// afterOpen does what must never keep a log from opening: ballast, space lamp,
// second copy.
func (l *Log) afterOpen() {
	l.checkSpace()
	l.layBallast()
	if l.opt.Second != "" {
		l.second = startSecond(l.fs, l.opt.Second, l.path, l.size)
	}
}

// layBallast makes sure that real bytes lie beside the log, to be freed when
// the disk is full. On a disk that is nearly full already it lays none.
func (l *Log) layBallast() {
	size := l.opt.Ballast
	if size == 0 {
		size = BallastSize
	}
	if size < 0 {
		return
	}
	path := filepath.Join(l.home, l.head.Station+".ballast")
	if info, err := l.fs.Lstat(path); err == nil && info.Mode().IsRegular() && info.Size() >= size {
		l.ballast = path
		return
	}
	if l.freeErr != nil || l.free < AlarmFree {
		return
	}
	if err := writeBallast(l.fs, path, size); err != nil {
		_ = l.fs.Remove(path)
		return
	}
	l.ballast = path
}

// writeBallast writes bytes that neither a compressing nor a sparse file
// system can store in less: a xorshift sequence (Marsaglia 2003, 64 bit).
func writeBallast(fsys FS, path string, size int64) error {
	file, err := fsys.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	x, block := uint64(0x9e3779b97f4a7c15), make([]byte, 64<<10)
	for size > 0 && err == nil {
		for i := range block {
			x ^= x << 13
			x ^= x >> 7
			x ^= x << 17
			block[i] = byte(x >> 24)
		}
		b := block[:min(size, int64(len(block)))]
		_, err = file.Write(b)
		size -= int64(len(b))
	}
	if err == nil {
		err = file.Sync()
	}
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	return err
}

// freeBallast gives the ballast's room back and reports whether it did.
func (l *Log) freeBallast() bool {
	if l.ballast == "" {
		return false
	}
	err := l.fs.Remove(l.ballast)
	l.ballast = ""
	if err == nil {
		err = l.fs.SyncDir(l.home)
	}
	return err == nil
}

// isFull reports whether an error means that the disk is full.
func isFull(err error) bool { return errors.Is(err, ErrFull) || isSystemFull(err) }
