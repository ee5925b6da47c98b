package logtest

import (
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"time"

	"floorpace/internal/daylog"
)

// handle is an open file.
type handle struct {
	disk *Disk
	node *node
	path string
	id   int
	flag int
}

func (h *handle) ReadAt(b []byte, off int64) (int, error) {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	if err := h.disk.step(Call{Op: OpRead, Path: h.path, Handle: h.id}); err != nil {
		return 0, &fs.PathError{Op: "read", Path: h.path, Err: err}
	}
	if off >= int64(len(h.node.data)) {
		return 0, io.EOF
	}
	n := copy(b, h.node.data[off:])
	if n < len(b) {
		return n, io.EOF
	}
	return n, nil
}

// Write appends. A fault leaves the first half of the bytes on the disk, as a
// torn write does.
func (h *handle) Write(b []byte) (int, error) {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	err := h.disk.step(Call{Op: OpWrite, Path: h.path, Handle: h.id})
	n := len(b)
	if err != nil {
		n /= 2
	}
	if h.disk.Room > 0 {
		if left := max(0, h.disk.Room-h.disk.used()); int64(n) > left {
			n, err = int(left), daylog.ErrFull
		}
	}
	h.node.data = append(h.node.data, b[:n]...)
	if err != nil {
		return n, &fs.PathError{Op: "write", Path: h.path, Err: err}
	}
	return n, nil
}

func (h *handle) Sync() error {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	if err := h.disk.step(Call{Op: OpSync, Path: h.path, Handle: h.id}); err != nil {
		if from := len(h.node.durable); from < len(h.node.data) {
			h.node.holes = append(h.node.holes, span{from, len(h.node.data)})
		}
		return &fs.PathError{Op: "sync", Path: h.path, Err: err}
	}
	if !h.disk.LeaveBytesUnflushed {
		h.node.flush()
	}
	return nil
}

// flush makes the bytes durable, except for the holes.
func (n *node) flush() {
	n.durable = n.data[:len(n.data):len(n.data)]
	if len(n.holes) == 0 {
		return
	}
	n.durable = slices.Clone(n.data)
	for _, h := range n.holes {
		clear(n.durable[min(h.from, len(n.durable)):min(h.to, len(n.durable))])
	}
}

func (h *handle) Truncate(size int64) error {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	if err := h.disk.step(Call{Op: OpTruncate, Path: h.path, Handle: h.id}); err != nil {
		return &fs.PathError{Op: "truncate", Path: h.path, Err: err}
	}
	if size < int64(len(h.node.data)) {
		h.node.data = slices.Clone(h.node.data[:size])
		for i := range h.node.holes {
			h.node.holes[i].to = min(h.node.holes[i].to, int(size))
			h.node.holes[i].from = min(h.node.holes[i].from, int(size))
		}
	}
	return nil
}

func (h *handle) Stat() (fs.FileInfo, error) {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	return info{filepath.Base(h.path), int64(len(h.node.data)), h.node}, nil
}

func (h *handle) Close() error { return nil }

type info struct {
	name string
	size int64
	node *node
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return i.node.dir }
func (i info) Sys() any           { return i.node }
func (i info) Mode() fs.FileMode {
	if i.node.dir {
		return fs.ModeDir | 0o755
	}
	return 0o644
}
