package transport

import (
	"errors"
	"fmt"
)

// ErrCode is what errors.Is finds when a text is no code of a length that has a check
// digit.
var ErrCode = errors.New("code")

// CheckDigit returns the check digit that belongs behind the digits of a GTIN-8, GTIN-12,
// GTIN-13, GTIN-14 or SSCC: 7, 11, 12, 13 or 17 digits. It returns ErrCode for another
// length or anything but digits. Source: GS1 General Specifications; weights 3, 1, 3, ...
// from the right.
func CheckDigit(digits string) (int, error) {
	switch len(digits) {
	case 7, 11, 12, 13, 17:
	default:
		return 0, fmt.Errorf("%w: found %d characters, expected 7, 11, 12, 13 or 17 digits", ErrCode, len(digits))
	}
	sum := 0
	for i := range len(digits) {
		c := digits[i]
		if c < '0' || c > '9' {
			return 0, fmt.Errorf("%w: found %q, expected digits only", ErrCode, digits)
		}
		weight := 1
		if (len(digits)-i)%2 == 1 {
			weight = 3
		}
		sum += weight * int(c-'0')
	}
	return (10 - sum%10) % 10, nil
}

// CheckCode returns the check digit a whole code (8, 12, 13, 14 or 18 digits) should end
// in, and whether it does. Errors as CheckDigit.
func CheckCode(code string) (digit int, valid bool, err error) {
	switch len(code) {
	case 8, 12, 13, 14, 18:
	default:
		return 0, false, fmt.Errorf("%w: found %d characters, expected 8, 12, 13, 14 or 18 digits", ErrCode, len(code))
	}
	last := len(code) - 1
	if code[last] < '0' || code[last] > '9' {
		return 0, false, fmt.Errorf("%w: found %q, expected digits only", ErrCode, code)
	}
	digit, err = CheckDigit(code[:last])
	return digit, err == nil && digit == int(code[last]-'0'), err
}
