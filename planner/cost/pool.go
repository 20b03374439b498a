package cost

import "math/big"

// Pool is what is there of one part, kept layer by layer as a cost formula has it: so a
// long history is valued move by move, and the money is put to the quantities afterwards,
// exactly. First in first out has a layer for each receipt; the moving average has one for
// each stretch in which the average stays as it is, since what goes out at the average
// leaves it unchanged.
//
// Beyond FIFO and WeightedAverage it knows what a ledger knows: things that come back, and
// records that come late. What comes back (an undone use, a found piece) comes at the cost
// of what went last. What goes before it came (a late receipt) waits for the next receipt
// and costs what that costs. So receipts less issues are always what is left, exactly.
type Pool struct {
	average bool
	layers  []layer
	front   int // first in first out: the layer that gives next
	owed    []owed
}

// layer is a quantity of one price.
type layer struct {
	price          *big.Rat
	received, left int64
}

// owed is what went before anything was there to give it.
type owed struct{ of, quantity int64 }

// Piece is a quantity that went (below 0: came back) at a layer's price. Of is what the
// caller named it by.
type Piece struct {
	Of       int64
	Layer    int
	Quantity int64
}

// NewFIFO is an empty pool, first in first out; NewAverage one at the moving average.
func NewFIFO() *Pool    { return &Pool{} }
func NewAverage() *Pool { return &Pool{average: true} }

// Price is that of one of a layer.
func (p *Pool) Price(layer int) *big.Rat { return p.layers[layer].price }

// In takes in a receipt of a quantity above 0 at a price each, and returns the pieces that
// had waited for it.
func (p *Pool) In(quantity int64, price *big.Rat) (pieces []Piece) {
	at := len(p.layers)
	if p.average && at > 0 && (p.layers[at-1].left > 0 || p.layers[at-1].price.Cmp(price) == 0) {
		last := &p.layers[at-1]
		if last.price.Cmp(price) == 0 {
			at--
		} else {
			sum := new(big.Rat).Mul(last.price, whole(last.left))
			sum.Add(sum, new(big.Rat).Mul(price, whole(quantity)))
			price = sum.Quo(sum, whole(last.left+quantity))
			left := last.left
			last.left = 0
			p.layers = append(p.layers, layer{price: price, left: left})
		}
	}
	if at == len(p.layers) {
		p.layers = append(p.layers, layer{price: price})
	}
	l := &p.layers[at]
	l.received += quantity
	for quantity > 0 && len(p.owed) > 0 {
		o := &p.owed[0]
		n := min(quantity, o.quantity)
		pieces = append(pieces, Piece{o.of, at, n})
		if quantity, o.quantity = quantity-n, o.quantity-n; o.quantity == 0 {
			p.owed = p.owed[1:]
		}
	}
	l.left += quantity
	return pieces
}

// Out gives a quantity above 0, and returns the pieces it consists of; what is not there
// yet comes with a later In, or with Settle.
func (p *Pool) Out(of, quantity int64) (pieces []Piece) {
	if p.average {
		p.front = max(0, len(p.layers)-1)
	}
	for ; quantity > 0 && p.front < len(p.layers); p.front++ {
		l := &p.layers[p.front]
		if n := min(quantity, l.left); n > 0 {
			pieces = append(pieces, Piece{of, p.front, n})
			quantity, l.left = quantity-n, l.left-n
		}
		if quantity == 0 {
			return pieces
		}
	}
	if quantity > 0 {
		p.owed = append(p.owed, owed{of, quantity})
	}
	return pieces
}

// Back takes back a quantity above 0 of what went: at the price of what went last. Where
// nothing came yet, it has the price given, and so has what it takes the place of.
func (p *Pool) Back(of, quantity int64, price *big.Rat) (pieces []Piece) {
	for quantity > 0 && len(p.owed) > 0 {
		last := &p.owed[len(p.owed)-1]
		n := min(quantity, last.quantity)
		p.layers = append(p.layers, layer{price: price})
		at := len(p.layers) - 1
		pieces = append(pieces, Piece{last.of, at, n}, Piece{of, at, -n})
		if quantity, last.quantity = quantity-n, last.quantity-n; last.quantity == 0 {
			p.owed = p.owed[:len(p.owed)-1]
		}
	}
	if quantity > 0 && len(p.layers) == 0 {
		p.layers = append(p.layers, layer{price: price})
	}
	for i := min(p.front, len(p.layers)-1); !p.average && i >= 0 && quantity > 0; i-- {
		l := &p.layers[i]
		if n := min(quantity, l.received-l.left); n > 0 {
			pieces = append(pieces, Piece{of, i, -n})
			l.left, quantity, p.front = l.left+n, quantity-n, i
		}
	}
	if quantity > 0 { // more than ever went: found, at the newest price; the average is one price anyway
		last := len(p.layers) - 1
		p.layers[last].left += quantity
		p.layers[last].received += quantity
		p.front = min(p.front, last)
		pieces = append(pieces, Piece{of, last, -quantity})
	}
	return pieces
}

// Unreceive takes a receipt back out, as if it had not come, and reports whether it could:
// not where some of it has gone.
func (p *Pool) Unreceive(quantity int64, price *big.Rat) bool {
	if !p.average {
		for i := len(p.layers) - 1; i >= 0; i-- {
			if l := &p.layers[i]; l.price.Cmp(price) == 0 && l.left >= quantity {
				l.left, l.received = l.left-quantity, l.received-quantity
				return true
			}
		}
		return false
	}
	if len(p.layers) == 0 {
		return false
	}
	last := &p.layers[len(p.layers)-1]
	left, value := last.left-quantity, new(big.Rat).Mul(last.price, whole(last.left))
	value.Sub(value, new(big.Rat).Mul(price, whole(quantity)))
	switch {
	case left < 0 || value.Sign() < 0 || left == 0 && value.Sign() != 0:
		return false
	case left == 0:
		last.left = 0
		return true
	}
	last.left = 0
	p.layers = append(p.layers, layer{price: value.Quo(value, whole(left)), left: left})
	return true
}

// Settle values what still waits for a receipt at the newest price; where there is none,
// at that given for it. What is left is then below 0.
func (p *Pool) Settle(price func(of int64) *big.Rat) (pieces []Piece) {
	for _, o := range p.owed {
		if len(p.layers) == 0 {
			p.layers = append(p.layers, layer{price: price(o.of)})
		}
		last := len(p.layers) - 1
		p.layers[last].left -= o.quantity
		pieces = append(pieces, Piece{o.of, last, o.quantity})
	}
	p.owed = nil
	return pieces
}

// Left is how much is left and what it is worth, after Settle.
func (p *Pool) Left() (quantity int64, value *big.Rat) {
	value = new(big.Rat)
	for _, l := range p.layers {
		if l.left != 0 {
			quantity += l.left
			value.Add(value, new(big.Rat).Mul(l.price, whole(l.left)))
		}
	}
	return quantity, value
}

func whole(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }
