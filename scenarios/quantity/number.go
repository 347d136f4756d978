package quantity

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// maxDigits and maxExponent bound the work of exact arithmetic: a float64
// never needs more.
const (
	maxDigits   = 60
	maxExponent = 400
)

// scanNumber reads the decimal number that text starts with and returns what
// follows it. The number is kept as written for messages.
func scanNumber(text string) (value *big.Rat, written, rest string, err error) {
	n := numberLength(text)
	written, rest = text[:n], text[n:]
	if n == 0 {
		return nil, "", "", notANumber(text)
	}
	if hint := separatorHint(written, rest); hint != "" {
		return nil, "", "", fmt.Errorf("%q: %s", shorten(text), hint)
	}
	mantissa, exponent := written, 0
	if i := strings.IndexAny(written, "eE"); i >= 0 {
		mantissa = written[:i]
		if exponent, err = strconv.Atoi(written[i+1:]); err != nil {
			exponent = maxExponent + 1
		}
	}
	if len(mantissa) > maxDigits || exponent > maxExponent || exponent < -maxExponent {
		return nil, "", "", fmt.Errorf("%q is too long a number or has too large an exponent", shorten(text))
	}
	value, ok := new(big.Rat).SetString(written)
	if !ok {
		return nil, "", "", notANumber(text)
	}
	return value, written, rest, nil
}

// numberLength returns how many bytes of text are a number: sign, digits with
// at most one point, exponent. It is 0 where text does not start with one.
func numberLength(text string) int {
	i := 0
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	whole := digits(text[i:])
	i += whole
	if i < len(text) && text[i] == '.' {
		decimals := digits(text[i+1:])
		if whole+decimals == 0 {
			return 0
		}
		i += 1 + decimals
	} else if whole == 0 {
		return 0
	}
	return i + exponentLength(text[i:])
}

func exponentLength(text string) int {
	if text == "" || text[0] != 'e' && text[0] != 'E' {
		return 0
	}
	i := 1
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		i++
	}
	n := digits(text[i:])
	if n == 0 {
		return 0
	}
	return i + n
}

func digits(text string) int {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n
}

// separatorHint recognises decimal commas and thousands separators behind the
// digits read so far and says how to write them.
func separatorHint(written, rest string) string {
	if len(rest) < 2 {
		return ""
	}
	n := digits(rest[1:])
	if n == 0 || n > maxDigits || len(written) > maxDigits || !strings.ContainsRune(",'_ .", rune(rest[0])) {
		return ""
	}
	if rest[0] == ' ' && (n != 3 || len(written) > 3) { // 3 1/min is no group of three
		return ""
	}
	joined := written + rest[1:1+n]
	switch rest[0] {
	case ',':
		point := written + "." + rest[1:1+n]
		if n == 3 {
			return fmt.Sprintf("a comma is not understood: write %s or %s", joined, point)
		}
		return fmt.Sprintf("a comma is not understood: write %s", point)
	case '.':
		return "two decimal points: write digits without separators"
	default:
		return fmt.Sprintf("digits are not grouped: write %s", joined)
	}
}

func notANumber(text string) error {
	word := strings.ToLower(strings.TrimLeft(text, "+-."))
	if strings.HasPrefix(word, "inf") || strings.HasPrefix(word, "nan") {
		return fmt.Errorf("%q is not a finite number", shorten(text))
	}
	return fmt.Errorf("%q does not start with a number", shorten(text))
}

// shorten keeps messages readable when the text is not.
func shorten(text string) string {
	const most = 40
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most]) + "…"
}
