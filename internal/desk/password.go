package desk

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// The cost of a password's hash: the second choice of RFC 9106, section 4 (64 MiB, three
// passes), on two threads.
const (
	argonTime    = 3
	argonMemory  = 64 << 10 // KiB
	argonThreads = 2
	argonLength  = 32
)

// leastPassword is how long a password must be (NIST SP 800-63B asks for eight or more).
const leastPassword = 10

// hashPassword returns the hash of a password in the usual form, with its settings and salt.
func hashPassword(password string) (string, error) {
	if len(password) < leastPassword {
		return "", fmt.Errorf("the password needs at least %d characters", leastPassword)
	}
	if len(password) > 200 {
		return "", errors.New("the password may have at most 200 characters")
	}
	salt := make([]byte, 16)
	_, _ = rand.Read(salt) // never fails, says its documentation
	key := argon2.IDKey([]byte(password), salt, argonTime, argonMemory, argonThreads, argonLength)
	b := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonTime, argonThreads, b.EncodeToString(salt), b.EncodeToString(key)), nil
}

// fits reports whether a password has that hash.
func fits(password, hash string) bool {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[1] != "argon2id" || len(password) > 200 {
		return false
	}
	var version int
	var memory, passes uint32
	var threads uint8
	if _, err := fmt.Sscanf(parts[2], "v=%d", &version); err != nil || version != argon2.Version {
		return false
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &threads); err != nil {
		return false
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	want, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err1 != nil || err2 != nil || len(want) == 0 {
		return false
	}
	got := argon2.IDKey([]byte(password), salt, passes, memory, threads, uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1
}

// nobodysHash is compared with where there is no such account, so that the time taken does
// not tell who has one.
var nobodysHash = fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", argon2.Version, argonMemory, argonTime, argonThreads)
