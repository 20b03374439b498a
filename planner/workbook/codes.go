package workbook

import "strings"

// currencies are the alphabetic codes of ISO 4217 in use, with the number of decimals of
// each where it is not two (list one of the standard, from memory; funds and metals left
// out).
const currencies = "" +
	"AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD3 BIF0 BMD BND BOB BRL BSD BTN BWP BYN BZD " +
	"CAD CDF CHF CLP0 CNY COP CRC CUP CVE CZK DJF0 DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD " +
	"GNF0 GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD3 IRR ISK0 JMD JOD3 JPY0 KES KGS KHR KMF0 KPW KRW0 KWD3 KYD " +
	"KZT LAK LBP LKR LRD LSL LYD3 MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR " +
	"NZD OMR3 PAB PEN PGK PHP PKR PLN PYG0 QAR RON RSD RUB RWF0 SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP " +
	"STN SVC SYP SZL THB TJS TMT TND3 TOP TRY TTD TWD TZS UAH UGX0 USD UYU UZS VED VES VND0 VUV0 WST XAF0 XCD " +
	"XCG XOF0 XPF0 YER ZAR ZMW ZWG"

// countries are the two-letter codes of ISO 3166-1 (from memory).
const countries = "" +
	"AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR BS BT BV BW BY BZ " +
	"CA CC CD CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH ER ES ET FI FJ FK FM FO FR " +
	"GA GB GD GE GF GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT HU ID IE IL IM IN IO IQ IR IS IT JE JM JO JP " +
	"KE KG KH KI KM KN KP KR KW KY KZ LA LB LC LI LK LR LS LT LU LV LY MA MC MD ME MF MG MH MK ML MM MN MO MP MQ MR MS MT " +
	"MU MV MW MX MY MZ NA NC NE NF NG NI NL NO NP NR NU NZ OM PA PE PF PG PH PK PL PM PN PR PS PT PW PY QA RE RO RS RU RW " +
	"SA SB SC SD SE SG SH SI SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF TG TH TJ TK TL TM TN TO TR TT TV TW TZ UA UG " +
	"UM US UY UZ VA VC VE VG VI VN VU WF WS YE YT ZA ZM ZW"

var (
	currencyDecimals = readCurrencies()
	countryCodes     = readCountries()
)

func readCurrencies() map[string]int {
	m := map[string]int{}
	for _, word := range strings.Fields(currencies) {
		decimals := 2
		if len(word) == 4 {
			decimals = int(word[3] - '0')
		}
		m[word[:3]] = decimals
	}
	return m
}

func readCountries() map[string]bool {
	m := map[string]bool{}
	for _, word := range strings.Fields(countries) {
		m[word] = true
	}
	return m
}

// CurrencyDecimals returns how many decimals an amount of an ISO 4217 currency has, and
// whether there is such a currency.
func CurrencyDecimals(code string) (decimals int, ok bool) {
	decimals, ok = currencyDecimals[code]
	return decimals, ok
}
