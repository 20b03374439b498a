#!/bin/sh
# One evening of the invented season, logged as a mechanic would: Saturday at Zdravelj, the
# bikes are washed and a dozen jobs want to be in the book before bed. Pasted line by line
# into a terminal, or run whole after "make demo": testdata/day/day.sh
#
# A test runs the lines below that begin with "roundkit", against day.txt.
set -u
export ROUNDKIT_PERSON=u1
roundkit() {
	echo "\$ roundkit $*"
	"${ROUNDKIT:-bin/roundkit}" "$@" --db "${DATABASE:-demo}" </dev/null # nobody is asked
}

# can I do one more rebuild tonight, on Pim's fork?
roundkit job left --at truck
# the four lower-leg services left over from practice, two with worn wipers
roundkit job log LLS --on F01 --used WIP-40=2
roundkit job log LLS --on F02 --used WIP-40=2 --used OSL-40=2
roundkit job log LLS --on F03 --as-usual
roundkit job log LLS --on F04 --used DGR-5L="90 ml" --not GLV-NIT
# the A bike of Branka wants more front tomorrow, Ysolde's goes back
roundkit job log SWF --on F05 --spring "48 lb/in" --note "steep, wants more front" --as-usual
roundkit job log SWF --on F01 --spring SPF-67#1 --as-usual
# dampers: Ysolde's, then Pim's, where the oil will not do
roundkit job log DMP --on F01 --as-usual
roundkit job log DMP --on F07 --as-usual
# air cans, a shock that knocked, the wash
roundkit job log AIR --on S05 --used KIT-VA75=1
roundkit job log SHK --on S02 --used BMP-75=1
roundkit job log WSH --on YM-A
# the same fork twice: Ravi had logged it on his phone
roundkit job log LLS --on F03 --as-usual --by u2
roundkit undo --by u2
# the drawer, without looking at the book first; then with it
roundkit count T-D03
roundkit count T-D03 FNS-10=43 CRW-10=17
roundkit difference because CRW-10 "count slip" --note "one under the tray"
# the bottle of bath oil on the scale, bottle and all
roundkit weigh B-104 362
# a compression o-ring is torn and there is none loose: a kit is opened for it
roundkit open-kit KIT-DMP40 --from W-A1
roundkit undo
# what is left for Sunday
roundkit job list --last 12
roundkit job left --at truck
