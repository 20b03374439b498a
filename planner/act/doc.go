// Package act answers: what does a person mean to record, and can it be meant?
//
// Method: what is where now (a snapshot) and what was said come in, the rows of a record or a
// refusal in words come out; the ledger then does with the rows what its rules say.
// Source: the team's own rules; common practice (from memory). Limits: it knows the book, not
// the bench: a doubt is asked about, it is no proof.
package act
