// Package backup answers: is this file a back-up, whole, unaltered and of our own making,
// and which rows are in it?
//
// A back-up holds rows and nothing else: no table definition, no function, no command. The
// schema comes from this program's own migrations, so nothing in a file is ever run, whoever
// wrote it.
//
// Method: one line with the mark and the version of the format, one line of JSON that says
// what it is a back-up of, then all tables in PostgreSQL's text format for COPY, compressed,
// then a footer: the SHA-256 of all before it, and its HMAC under the key that lies beside
// the data, with the name of that key. A file takes its name only after it was read back.
//
// Source: the PostgreSQL manual (COPY, text format: a line of "\." is never a row), RFC 1952
// (gzip), FIPS 180-4 (SHA-256), RFC 2104 (HMAC).
//
// Limits: it is signed, not encrypted; its mode is 0600. Who can read the key can sign.
package backup

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"strings"
	"time"
)

// Suffix is how the names of back-ups end.
const Suffix = ".backup"

// Kinds of refusal, for errors.Is.
var (
	// ErrDamaged: the file was cut short or altered, or is no back-up.
	ErrDamaged = errors.New("the back-up cannot be used")
	// ErrUnsigned: the file is whole, but was not signed with this key.
	ErrUnsigned = errors.New("the back-up was not made here")
	// ErrExists: something stands where the file is to go.
	ErrExists = errors.New("nothing is overwritten")
)

// mark is the first line of a file, with the version of the format.
const mark = "Roundkit back-up 1\n"

// The footer is of one length, so that it is found from the end.
const (
	sumWord    = "\nsha256 "
	signedWord = "\nsigned "
	keyWord    = " key "
	keyLength  = 16
	footLength = len(sumWord) + 2*sha256.Size + len(signedWord) + 2*sha256.Size + len(keyWord) + keyLength + 1
)

// Head says what a file is a back-up of.
type Head struct {
	Database string    `json:"database"`
	Schema   int64     `json:"schema"` // version of the schema the rows are of
	MadeAt   time.Time `json:"made_at"`
	Server   string    `json:"server,omitempty"`
}

// seal adds up what the footer says.
type seal struct {
	sum, signed hash.Hash
	key         Key
}

func newSeal(key Key) *seal {
	return &seal{sha256.New(), hmac.New(sha256.New, key), key}
}

func (s *seal) Write(p []byte) (int, error) {
	_, _ = s.sum.Write(p) // a hash never fails
	return s.signed.Write(p)
}

func (s *seal) footer() string {
	return sumWord + hex.EncodeToString(s.sum.Sum(nil)) + signedWord + hex.EncodeToString(s.signed.Sum(nil)) + keyWord + s.key.name() + "\n"
}

// check reads a file to its end and compares it with its footer. The error says ErrDamaged,
// or, if all is well but for whose it is, ErrUnsigned.
func check(file *os.File, key Key) (content int64, err error) {
	info, err := file.Stat()
	if err != nil {
		return 0, err
	}
	content = info.Size() - int64(footLength)
	first := make([]byte, len(mark))
	if _, err := file.ReadAt(first, 0); err != nil && !errors.Is(err, io.EOF) {
		return 0, err
	}
	if content < int64(len(mark)) || !bytes.Equal(first, []byte(mark)) {
		return 0, fmt.Errorf("%w: found no Roundkit back-up of version 1", ErrDamaged)
	}
	s := newSeal(key)
	if _, err := io.Copy(s, io.NewSectionReader(file, 0, content)); err != nil {
		return 0, err
	}
	found := make([]byte, footLength)
	if _, err := file.ReadAt(found, content); err != nil {
		return 0, err
	}
	// Byte by byte as it was written: an altered footer is an altered file.
	want, got := s.footer(), string(found)
	summed := len(sumWord) + 2*sha256.Size
	if got[:summed] != want[:summed] {
		return 0, fmt.Errorf("%w: it was cut short or altered (its checksum does not hold)", ErrDamaged)
	}
	if got == want {
		return content, nil
	}
	sameKey := strings.HasSuffix(got, keyWord+key.name()+"\n")
	if sameKey || !footerFormed(got) {
		return 0, fmt.Errorf("%w: it was altered (its signature does not hold)", ErrDamaged)
	}
	return content, fmt.Errorf("%w: it is whole, and signed with another key than the one beside this data", ErrUnsigned)
}

// footerFormed tells a footer under another key from one that was damaged.
func footerFormed(foot string) bool {
	rest, ok := strings.CutPrefix(foot[len(sumWord)+2*sha256.Size:], signedWord)
	if !ok {
		return false
	}
	signed, name, ok := strings.Cut(rest, keyWord)
	return ok && lowerHex(signed, 2*sha256.Size) && lowerHex(strings.TrimSuffix(name, "\n"), keyLength) && strings.HasSuffix(name, "\n")
}

func lowerHex(text string, length int) bool {
	return len(text) == length && strings.Trim(text, "0123456789abcdef") == ""
}
