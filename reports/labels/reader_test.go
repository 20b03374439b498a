package labels_test

import (
	"bytes"
	"errors"
	"fmt"
	"image/png"
)

// read is a reader of QR codes for tests, written from ISO/IEC 18004 and not from the
// library that writes them: it takes the modules from the picture, reads the mask and the
// correction level from the format bits, walks the codewords, takes the blocks apart, asks
// that the error correction of each finds no error, and reads one segment of bytes.
// It knows versions 1 to 5 at correction M.
func read(file []byte, modulePixels, quiet int) (string, error) {
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		return "", err
	}
	n := img.Bounds().Dx()/modulePixels - 2*quiet
	version := (n - 17) / 4
	if n != 17+4*version || version < 1 || version > 5 {
		return "", fmt.Errorf("found %d modules, expected version 1 to 5", n)
	}
	dark := func(row, column int) bool {
		r, _, _, _ := img.At((column+quiet)*modulePixels+modulePixels/2, (row+quiet)*modulePixels+modulePixels/2).RGBA()
		return r == 0
	}
	mask, err := formatOf(dark)
	if err != nil {
		return "", err
	}
	var bits []bool
	up := true
	for right := n - 1; right > 0; right -= 2 {
		if right == 6 { // the column of the timing pattern is stepped over
			right--
		}
		for k := range n {
			row := k
			if up {
				row = n - 1 - k
			}
			for _, column := range []int{right, right - 1} {
				if !function(version, n, row, column) {
					bits = append(bits, dark(row, column) != masked(mask, row, column))
				}
			}
		}
		up = !up
	}
	words := make([]byte, len(bits)/8)
	for i := range words {
		for k := range 8 {
			if bits[8*i+k] {
				words[i] |= 0x80 >> k
			}
		}
	}
	data, err := blocks(version, words)
	if err != nil {
		return "", err
	}
	if data[0]>>4 != 4 {
		return "", fmt.Errorf("found mode %d, expected bytes (4)", data[0]>>4)
	}
	length := int(data[0]&15)<<4 | int(data[1]>>4)
	text := make([]byte, length)
	for i := range text {
		text[i] = data[i+1]<<4 | data[i+2]>>4
	}
	return string(text), nil
}

// formatOf reads the mask from the format bits beside the upper left finder: 15 bits of a
// BCH(15,5) code with generator 10100110111, under the mask 101010000010010. Level M is 00.
func formatOf(dark func(row, column int) bool) (int, error) {
	v := 0
	for _, at := range [][2]int{{8, 0}, {8, 1}, {8, 2}, {8, 3}, {8, 4}, {8, 5}, {8, 7}, {8, 8}, {7, 8}, {5, 8}, {4, 8}, {3, 8}, {2, 8}, {1, 8}, {0, 8}} {
		v <<= 1
		if dark(at[0], at[1]) {
			v |= 1
		}
	}
	v ^= 0b101010000010010
	rest := v
	for i := 14; i >= 10; i-- {
		if rest>>i&1 == 1 {
			rest ^= 0b10100110111 << (i - 10)
		}
	}
	if rest != 0 || v>>13 != 0 {
		return 0, fmt.Errorf("found format bits %015b, expected a code word of level M", v)
	}
	return v >> 10 & 7, nil
}

// masked reports whether a data module is turned over by a mask (table 10 of the standard).
func masked(mask, i, j int) bool {
	switch mask {
	case 0:
		return (i+j)%2 == 0
	case 1:
		return i%2 == 0
	case 2:
		return j%3 == 0
	case 3:
		return (i+j)%3 == 0
	case 4:
		return (i/2+j/3)%2 == 0
	case 5:
		return i*j%2+i*j%3 == 0
	case 6:
		return (i*j%2+i*j%3)%2 == 0
	}
	return ((i+j)%2+i*j%3)%2 == 0
}

// function reports whether a module belongs to a pattern and holds no data: the finders
// with their margins and format bits, the timing lines, the one alignment pattern.
func function(version, n, row, column int) bool {
	switch {
	case row < 9 && column < 9, row < 9 && column >= n-8, row >= n-8 && column < 9, row == 6, column == 6:
		return true
	case version == 1:
		return false
	}
	centre := n - 7
	return row >= centre-2 && row <= centre+2 && column >= centre-2 && column <= centre+2
}

// shape is how a version splits at level M: blocks, data words a block, correction words a block.
var shape = map[int][3]int{1: {1, 16, 10}, 2: {1, 28, 16}, 3: {1, 44, 26}, 4: {2, 32, 18}, 5: {2, 43, 24}}

func blocks(version int, words []byte) ([]byte, error) {
	count, data, extra := shape[version][0], shape[version][1], shape[version][2]
	if len(words) < count*(data+extra) {
		return nil, fmt.Errorf("found %d words, expected %d", len(words), count*(data+extra))
	}
	var out []byte
	for b := range count {
		block := make([]byte, 0, data+extra)
		for i := range data {
			block = append(block, words[i*count+b])
		}
		for i := range extra {
			block = append(block, words[count*data+i*count+b])
		}
		for k := range extra { // the syndromes: the block is divisible by every (x - 2^k)
			sum, root := byte(0), power(k)
			for _, w := range block {
				sum = times(sum, root) ^ w
			}
			if sum != 0 {
				return nil, errors.New("the error correction finds an error")
			}
		}
		out = append(out, block[:data]...)
	}
	return out, nil
}

// times multiplies in the field of 256 with x^8 + x^4 + x^3 + x^2 + 1.
func times(a, b byte) byte {
	product := byte(0)
	for ; b > 0; b >>= 1 {
		if b&1 == 1 {
			product ^= a
		}
		high := a & 0x80
		if a <<= 1; high != 0 {
			a ^= 0x1D
		}
	}
	return product
}

func power(k int) byte {
	v := byte(1)
	for range k {
		v = times(v, 2)
	}
	return v
}
