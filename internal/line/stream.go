package line

import "math/bits"

// stream is the luck of one day: a counter-based generator, so any draw can be
// made in any order and on any core.
//
// A word is the finaliser of a 64-bit permutation (two rounds of xor-shift and
// odd multiplication; the multipliers are the ones published with SplitMix64,
// Steele, Lea and Flood, OOPSLA 2014, from memory) applied to key + index · odd,
// where the odd step is 2^64 over the golden ratio, so neighbouring indexes
// differ in about half their bits before they are mixed. It was preferred to a
// cipher-like counter generator because two multiplications give six 10-bit
// cells, and to a sequential generator because that would tie the result to the
// order of work. The tests check uniformity and independence across steps,
// batches, days and seeds.
//
// Word 2b serves the steps from carry to broadcast of batch b; word 2b+1 the
// mixing of the b-th batch started and the clearing before it.
type stream uint64

const (
	golden = 0x9e3779b97f4a7c15 // 2^64 / golden ratio, made odd
	twist  = 0xd1342543de82ef95 // an odd number with as many ones as zeros, no pattern
)

// fold multiplies a counter by a twisted copy of itself and folds the 128-bit
// product.
func fold(z uint64) uint64 {
	hi, lo := bits.Mul64(z, z^twist)
	return hi ^ lo
}

// newStream keys a day: seed and day are scrambled in turn, so that days are
// far apart on the counter's circle.
func newStream(seed uint64, day int) stream {
	return stream(fold(fold(seed+golden) + uint64(day)*golden))
}

// at is the counter of word i.
func (s stream) at(i uint64) uint64 { return uint64(s) + i*golden }

func (s stream) word(i uint64) uint64 { return fold(s.at(i)) }

// A step is the position of its 10 bits in a word.
type step uint

const (
	stepCarry step = 4 + 10*iota
	stepPour
	stepWalk
	stepRake
	stepRoll
	stepBroadcast

	stepMix   step = 4  // of the odd words
	stepClear step = 14 // of the odd words
)

// draw returns the cell (0 to 1,023) of one step of batch b after the mixer.
func (s stream) draw(at step, b int) uint32 {
	return uint32(s.word(2*uint64(b))>>at) & (Cells - 1)
}

// drawMix returns the cell of the b-th batch started, for mixing or clearing.
func (s stream) drawMix(at step, b int) uint32 {
	return uint32(s.word(2*uint64(b)+1)>>at) & (Cells - 1)
}
