package daylog

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// SecondLamp says how the second copy stands.
type SecondLamp struct {
	On     bool   // a second copy is wanted
	Level  Level  // Calm: complete or catching up; Alarm: failing
	Behind int64  // bytes confirmed in the log and not yet in the copy
	Words  string // plain sentence, "" when all is well
}

// second copies confirmed bytes of the log to another disk from a goroutine of
// its own, so that a slow or dead stick never delays a press. It reads them
// back from the log's file; it never holds events itself. A failed copy is
// tried again at the next wake.
type second struct {
	fs  FS
	dir string

	mu     sync.Mutex
	want   []copyJob
	failed error

	wakeUp chan struct{}
	quit   chan struct{}
	done   chan struct{}
}

type copyJob struct {
	from, to     string
	size, copied int64
	file         File
}

// stopWait is how long closing waits for the copy to catch up: long enough for
// a slow stick, short enough for a person who closes the program.
const stopWait = time.Second

func startSecond(fsys FS, dir, path string, size int64) *second {
	s := &second{
		fs: fsys, dir: dir,
		wakeUp: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{}),
	}
	go s.run()
	s.wake(path, size)
	return s
}

// wake tells the copier how much of which file is confirmed. It never blocks.
func (s *second) wake(path string, size int64) {
	if s == nil {
		return
	}
	s.mu.Lock()
	if n := len(s.want); n > 0 && s.want[n-1].from == path {
		s.want[n-1].size = size
	} else {
		s.want = append(s.want, copyJob{from: path, to: filepath.Join(s.dir, filepath.Base(path)), size: size})
	}
	s.mu.Unlock()
	select {
	case s.wakeUp <- struct{}{}:
	default:
	}
}

// stop lets the copier catch up for stopWait and ends it. A copier that hangs
// in a dead disk is left behind: nothing can end it but the process.
func (s *second) stop() {
	close(s.quit)
	timer := time.NewTimer(stopWait)
	defer timer.Stop()
	select {
	case <-s.done:
	case <-timer.C:
	}
}

func (s *second) run() {
	defer close(s.done)
	defer func() {
		if p := recover(); p != nil { // the lamp, not the program, goes out
			s.fail(fmt.Errorf("the copier stopped: %v", p))
		}
	}()
	for ended := false; !ended; {
		select {
		case <-s.wakeUp:
		case <-s.quit:
			ended = true
		}
		s.copyAll()
	}
	for i := range s.want {
		s.want[i].shut()
	}
}

func (j *copyJob) shut() {
	if j.file != nil {
		_ = j.file.Close() // flushed already
		j.file = nil
	}
}

func (s *second) fail(err error) {
	s.mu.Lock()
	s.failed = err
	s.mu.Unlock()
}

func (s *second) copyAll() {
	for i := 0; ; i++ {
		s.mu.Lock()
		if i >= len(s.want) {
			s.failed = nil
			s.mu.Unlock()
			return
		}
		job := s.want[i]
		s.mu.Unlock()
		err := s.copy(&job)
		if err != nil {
			job.shut()
		}
		s.mu.Lock()
		job.size = s.want[i].size // may have grown meanwhile
		s.want[i] = job
		s.mu.Unlock()
		if err != nil {
			s.fail(err)
			return
		}
	}
}

// copy brings one file up to date.
func (s *second) copy(j *copyJob) error {
	if j.copied == j.size && j.file != nil {
		return nil
	}
	if j.file == nil {
		if err := s.open(j); err != nil {
			return err
		}
	}
	for j.copied < j.size {
		b, err := readPart(s.fs, j.from, j.copied, min(j.size-j.copied, 1<<20))
		if err != nil {
			return err
		}
		if err := writeSync(j.file, b); err != nil {
			return err
		}
		j.copied += int64(len(b))
	}
	return nil
}

// open opens the copy to append to it. One that is not simply the log's start
// is left alone (it may hold what the log lost) and a new name is taken.
func (s *second) open(j *copyJob) error {
	if err := mkdirAll(s.fs, s.dir); err != nil {
		return err
	}
	whole, err := readPart(s.fs, j.from, 0, j.size)
	if err != nil {
		return err
	}
	for try := 1; try < 100; try++ {
		name := filepath.Join(s.dir, filepath.Base(j.from))
		if try > 1 {
			name = fmt.Sprintf("%s.copy%d", name, try)
		}
		have, err := readFile(s.fs, name, MaxFile)
		switch {
		case os.IsNotExist(err):
		case err != nil:
			return err
		case !bytes.HasPrefix(whole, have):
			continue
		}
		file, err := s.fs.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND)
		if err != nil {
			return err
		}
		j.file, j.to, j.copied = file, name, int64(len(have))
		return s.fs.SyncDir(s.dir)
	}
	return fmt.Errorf("%s holds too many other copies of this log", s.dir)
}

func readPart(fsys FS, path string, from, n int64) ([]byte, error) {
	file, err := fsys.OpenFile(path, os.O_RDONLY)
	if err != nil {
		return nil, err
	}
	b := make([]byte, n)
	_, err = file.ReadAt(b, from)
	if cerr := file.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return nil, err
	}
	return b, nil
}

// Second is the lamp of the second copy. Any goroutine may ask.
func (l *Log) Second() SecondLamp {
	s := l.second
	if s == nil {
		return SecondLamp{}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	lamp := SecondLamp{On: true}
	for _, j := range s.want {
		lamp.Behind += j.size - j.copied
	}
	if s.failed != nil {
		lamp.Level = Alarm
		lamp.Words = "The second copy is not being written, the log itself is fine: " + reason(s.failed) + "."
	}
	return lamp
}
