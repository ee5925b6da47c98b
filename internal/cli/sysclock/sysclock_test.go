package sysclock

import (
	"testing"
	"time"
)

func TestClocksRunTogether(t *testing.T) {
	c := New()
	a := c.Now()
	time.Sleep(30 * time.Millisecond)
	b := New().Now()
	// A loaded machine may sleep longer, never shorter; the two clocks may
	// differ by what passes between reading them.
	mono, awake := b.Mono-a.Mono, b.Awake-a.Awake
	if mono < 30*time.Millisecond || awake < 30*time.Millisecond {
		t.Errorf("30 ms of sleep moved the clocks by %v and %v", mono, awake)
	}
	if d := mono - awake; d < -5*time.Millisecond || d > 5*time.Millisecond {
		t.Errorf("clocks went apart by %v without the machine sleeping", d)
	}
	if a.Boot == "" || a.Boot != b.Boot {
		t.Errorf("boot marks %q and %q in one boot", a.Boot, b.Boot)
	}
	if a.Mono < a.Awake-5*time.Millisecond {
		t.Errorf("the clock that counts sleep (%v) is behind the one that does not (%v)", a.Mono, a.Awake)
	}
}
