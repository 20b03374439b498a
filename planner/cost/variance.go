package cost

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// Spend is a quantity of a part and its price each, as planned (standard) or as it was.
type Spend struct{ Quantity, Price decimal.Decimal }

// Variance is why a spend differed from its plan; above 0 is unfavourable.
type Variance struct {
	Price    decimal.Decimal // (actual - standard price) x actual quantity
	Quantity decimal.Decimal // (actual - standard quantity) x standard price
	Total    decimal.Decimal // actual spend - standard spend
}

// VarianceOf compares the actual spend with the standard one. Source: standard costing
// (Warren, Accounting).
func VarianceOf(actual, standard Spend) Variance {
	v := Variance{
		Price:    actual.Price.Sub(standard.Price).Mul(actual.Quantity),
		Quantity: actual.Quantity.Sub(standard.Quantity).Mul(standard.Price),
	}
	v.Total = v.Price.Add(v.Quantity)
	return v
}

// Variances is VarianceOf in fractions, for an actual price that is a cost over a quantity:
// its product with the quantity is the cost again, exactly.
func Variances(actualQuantity, actualCost, standardQuantity, standardPrice *big.Rat) (price, quantity *big.Rat) {
	price = new(big.Rat).Mul(standardPrice, actualQuantity)
	price.Sub(actualCost, price)
	quantity = new(big.Rat).Sub(actualQuantity, standardQuantity)
	return price, quantity.Mul(quantity, standardPrice)
}
