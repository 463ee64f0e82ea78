package desk

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"time"

	"steadfall/internal/safefile"
)

// certificateLasts is how long a self-made certificate is good; browsers refuse longer.
const certificateLasts = 397 * 24 * time.Hour

// SelfMade returns a certificate for those names and addresses that the desk made itself,
// from the folder when it is there and still good for them, and new otherwise.
func SelfMade(dir string, hosts []string) (tls.Certificate, error) {
	certFile, keyFile := filepath.Join(dir, "desk.crt"), filepath.Join(dir, "desk.key")
	if c, err := tls.LoadX509KeyPair(certFile, keyFile); err == nil && goodFor(c, hosts) {
		return c, nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return tls.Certificate{}, fmt.Errorf("the folder %q cannot be made for the certificate; check that its parent may be written to", dir)
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return tls.Certificate{}, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return tls.Certificate{}, err
	}
	t := x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "steadfall desk"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(certificateLasts),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, &t, &t, &key.PublicKey, key)
	if err != nil {
		return tls.Certificate{}, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return tls.Certificate{}, err
	}
	for name, block := range map[string]*pem.Block{keyFile: {Type: "PRIVATE KEY", Bytes: secret}, certFile: {Type: "CERTIFICATE", Bytes: der}} {
		if err := safefile.Write(name, pem.EncodeToMemory(block)); err != nil {
			return tls.Certificate{}, err
		}
	}
	return tls.LoadX509KeyPair(certFile, keyFile)
}

// goodFor reports whether a certificate holds for all hosts for another month.
func goodFor(c tls.Certificate, hosts []string) bool {
	leaf, err := x509.ParseCertificate(c.Certificate[0])
	if err != nil || time.Until(leaf.NotAfter) < 30*24*time.Hour {
		return false
	}
	for _, h := range hosts {
		if leaf.VerifyHostname(h) != nil {
			return false
		}
	}
	return true
}
