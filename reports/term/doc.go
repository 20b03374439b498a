// Package term draws the program's answers for a terminal: tables that fit its width,
// and the progress of long work.
//
// A table never comes out wider than asked: columns of running text are wrapped first,
// then the columns that matter least are left out and named below the table, and only
// then is everything else wrapped. On a terminal the heading is set apart by a rule
// and, where colour is wanted, in bold; elsewhere there is nothing but letters, spaces
// and line ends, so that what is piped can be searched and cut.
//
// Source: the layout itself is go-pretty's; which columns give way is ours. Limits: the
// width of a letter is what the Unicode tables say; a terminal may disagree.
package term
