package logtest

// Nth makes the nth operation of a kind fail (from 1), once or from then on
// for ever.
func Nth(op Op, n int, forever bool, err error) func(Call) error {
	seen := 0
	return func(c Call) error {
		if c.Op != op {
			return nil
		}
		seen++
		if seen == n || forever && seen > n {
			return err
		}
		return nil
	}
}
