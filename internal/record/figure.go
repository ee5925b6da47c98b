package record

import (
	"encoding/json"
	"math"
	"time"
)

// Num is a figure, or the reason why there is none. In the document it is a
// number or {"na": reason}.
type Num struct {
	V  float64
	NA string
}

func num(v float64) Num {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Num{NA: "no figure"}
	}
	return Num{V: v}
}

func noNum(why string) Num { return Num{NA: why} }

func seconds(d time.Duration) Num { return num(d.Seconds()) }

// OK reports whether the figure is there.
func (n Num) OK() bool { return n.NA == "" }

// Dur is the figure as a length of time; it is in seconds.
func (n Num) Dur() time.Duration { return time.Duration(math.Round(n.V * float64(time.Second))) }

// MarshalJSON writes a number or the reason.
func (n Num) MarshalJSON() ([]byte, error) {
	if n.NA != "" {
		return json.Marshal(reason{n.NA})
	}
	return json.Marshal(n.V)
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (n *Num) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '{' {
		var r reason
		err := json.Unmarshal(b, &r)
		*n = Num{NA: r.NA}
		return err
	}
	n.NA = ""
	return json.Unmarshal(b, &n.V)
}

type reason struct {
	NA string `json:"na"`
}

// When is an instant, or the reason why there is none. In the document it is an
// RFC 3339 text or {"na": reason}.
type When struct {
	T  time.Time
	NA string
}

func when(t time.Time, why string) When {
	if t.IsZero() {
		return When{NA: why}
	}
	return When{T: t}
}

// OK reports whether the instant is there.
func (w When) OK() bool { return w.NA == "" }

// MarshalJSON writes an instant (RFC 3339) or the reason.
func (w When) MarshalJSON() ([]byte, error) {
	if w.NA != "" {
		return json.Marshal(reason{w.NA})
	}
	return json.Marshal(w.T.Format(time.RFC3339Nano))
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (w *When) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '{' {
		var r reason
		err := json.Unmarshal(b, &r)
		*w = When{NA: r.NA}
		return err
	}
	w.NA = ""
	return json.Unmarshal(b, &w.T)
}

// Text is a few words, or the reason why there are none.
type Text struct {
	S  string
	NA string
}

func text(s, why string) Text {
	if s == "" {
		return Text{NA: why}
	}
	return Text{S: s}
}

// OK reports whether the words are there.
func (t Text) OK() bool { return t.NA == "" }

// MarshalJSON writes the words or the reason.
func (t Text) MarshalJSON() ([]byte, error) {
	if t.NA != "" {
		return json.Marshal(reason{t.NA})
	}
	return json.Marshal(t.S)
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (t *Text) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '{' {
		var r reason
		err := json.Unmarshal(b, &r)
		*t = Text{NA: r.NA}
		return err
	}
	t.NA = ""
	return json.Unmarshal(b, &t.S)
}
