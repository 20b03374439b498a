// Package oil answers: how thick is a suspension oil at a temperature, which mix gives
// the viscosity wanted, how many millilitres are those grams, and how long may a seal
// lie on the shelf?
//
// Method: kinematic viscosity goes through the line log10 log10 Z = a - b log10 T
// (ASTM D341) and back; blends add W = log10 log10 Z by volume at one temperature (ASTM
// D7152); the viscosity index follows ASTM D2270 with its table; grades are the intervals
// of ISO 3448; volumes use API MPMS chapter 11.1, table 54D (lubricating oils); rubber
// follows ISO 2230:2002 or SAE ARP5316D.
//
// Limits: kinematic viscosities of 0.3 to 1e6 cSt, temperatures of -60 to 250 C (-50 to
// 150 C for volumes). The line is an interpolation: outside its two points it is marked,
// and far outside it is wrong (at -40 C a polymer-thickened oil measured 495 cSt where
// the line said 201). Most suspension oils are polymer-thickened, so a blend is an
// estimate: try a small amount first.
//
// Caution: mix only what the makers allow; nothing here knows additives. The weight on a
// label is a name, not a viscosity: one maker's 7 is thinner than another's 5.
package oil
