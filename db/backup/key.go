package backup

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Key signs back-ups and tells our own from others.
type Key []byte

const keyBytes = 32

// name tells keys apart without telling what they are.
func (k Key) name() string {
	sum := sha256.Sum256(append([]byte("roundkit key name\x00"), k...))
	return hex.EncodeToString(sum[:])[:keyLength]
}

// ReadKey reads the key from a file, making one where there is none. Nobody but its owner
// may be able to read it.
func ReadKey(path string) (Key, error) {
	for range 2 {
		text, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			if err := makeKey(path); err != nil && !errors.Is(err, fs.ErrExist) { // another command was first
				return nil, fmt.Errorf("make the key that signs back-ups: %w", err)
			}
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("read the key that signs back-ups: %w", err)
		}
		if info, err := os.Stat(path); err == nil && openToOthers(info) {
			return nil, fmt.Errorf("%s: found a key that others can read, expected mode 0600: whoever read it can make back-ups that pass for yours; remove it, and back up anew", path)
		}
		key, err := hex.DecodeString(strings.TrimSpace(string(text)))
		if err != nil || len(key) != keyBytes {
			return nil, fmt.Errorf("%s: found no key, expected %d bytes in hexadecimal; remove it, and back up anew", path, keyBytes)
		}
		return key, nil
	}
	return nil, fmt.Errorf("%s: found no key after making one", path)
}

// makeKey puts a new key there, whole or not at all, and never over another.
func makeKey(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	key := make([]byte, keyBytes)
	if _, err := rand.Read(key); err != nil {
		return err
	}
	part, err := os.CreateTemp(filepath.Dir(path), ".key-*.part") // of mode 0600
	if err != nil {
		return err
	}
	defer func() { _ = os.Remove(part.Name()) }()
	_, err = part.WriteString(hex.EncodeToString(key) + "\n")
	if err := errors.Join(err, part.Sync(), part.Close()); err != nil {
		return err
	}
	return os.Link(part.Name(), path)
}
