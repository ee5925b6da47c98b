package shift

import (
	"encoding/json"
	"fmt"
	"time"

	"floorpace/internal/daylog"
)

// Memory is a log that keeps nothing on disk: for the demo and for tests of
// the day. It numbers and stamps events as the real one does.
type Memory struct {
	clock   daylog.Clock
	records []daylog.Record
}

// NewMemory begins a log in memory with its opening event.
func NewMemory(clock daylog.Clock) *Memory {
	m := &Memory{clock: clock}
	m.put(daylog.KindOpened, json.RawMessage(fmt.Sprintf(`{"boot":%q}`, clock.Now().Boot)))
	return m
}

func (m *Memory) put(kind string, body json.RawMessage) daylog.Record {
	now := m.clock.Now()
	r := daylog.Record{N: int64(len(m.records) + 1), Kind: kind, Wall: now.Wall, Mono: now.Mono.Milliseconds(), Body: body, Writer: "memory"}
	m.records = append(m.records, r)
	return r
}

// Records is everything kept so far.
func (m *Memory) Records() []daylog.Record { return m.records }

// Append keeps an event.
func (m *Memory) Append(kind string, body any) (daylog.Record, daylog.Trouble, error) {
	raw, ok := body.([]byte)
	if !ok {
		var err error
		if raw, err = json.Marshal(body); err != nil {
			return daylog.Record{}, daylog.Trouble{}, fmt.Errorf("%w: %w", daylog.ErrBody, err)
		}
	}
	return m.put(kind, raw), daylog.Trouble{}, nil
}

// Retry has nothing to do.
func (m *Memory) Retry() (daylog.Trouble, error) { return daylog.Trouble{}, nil }

// Pending is always 0.
func (m *Memory) Pending() int { return 0 }

// Space is calm.
func (m *Memory) Space() daylog.Space { return daylog.Space{} }

// Second is off.
func (m *Memory) Second() daylog.SecondLamp { return daylog.SecondLamp{} }

// Took is nothing.
func (m *Memory) Took() time.Duration { return 0 }
