// Package cert makes the workshop's own certificate authority, once, and the
// certificates that it serves https with. The authority can vouch only for names
// of a private network, so that trusting it opens no other door.
package cert

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"math/big"
	"net"
	"os"
	"strings"
	"sync"
	"time"

	"endfloat/internal/file"
)

// Lives of the authority and of what it signs. Browsers refuse certificates that
// are good for longer than 398 days (CA/Browser Forum, Baseline Requirements
// 6.3.2, from memory).
const (
	authorityLife = 10 * 365 * 24 * time.Hour
	leafLife      = 90 * 24 * time.Hour
	renewBefore   = 30 * 24 * time.Hour
)

// Authority signs for one workshop.
type Authority struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
	now  func() time.Time
}

// private are the networks and names that the authority may vouch for: RFC 1918,
// RFC 4193, link-local, the computer itself, and names under .local (RFC 6762).
var private = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}

// Open reads the authority kept in a file, or makes one there that only its owner
// can read.
func Open(name string, now func() time.Time) (*Authority, error) {
	raw, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) {
		if raw, err = create(now()); err != nil {
			return nil, err
		}
		err = file.New(name, raw, 0o600)
	}
	if err != nil {
		return nil, fmt.Errorf("the workshop's certificate: %w", err)
	}
	a, err := read(raw)
	if err != nil {
		return nil, fmt.Errorf("%s does not hold the workshop's certificate and its key (%w); move it away to have a new one made, which every phone must then be told to trust", name, err)
	}
	if info, err := os.Stat(name); err == nil && info.Mode().Perm()&0o077 != 0 {
		if err := os.Chmod(name, 0o600); err != nil {
			return nil, fmt.Errorf("%s can be read by others (%w)", name, err)
		}
	}
	a.now = now
	if now().After(a.cert.NotAfter) {
		return nil, fmt.Errorf("the workshop's certificate ended on %s; move %s away to have a new one made, which every phone must then be told to trust", a.cert.NotAfter.Format(time.DateOnly), name)
	}
	return a, nil
}

func create(now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := number()
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: "endfloat workshop, begun " + now.Format(time.DateOnly)},
		NotBefore:    now.Add(-time.Hour), NotAfter: now.Add(authorityLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage:                    x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         []string{"local", "localhost"},
	}
	for _, n := range private {
		_, ipnet, err := net.ParseCIDR(n)
		if err != nil {
			return nil, err
		}
		t.PermittedIPRanges = append(t.PermittedIPRanges, ipnet)
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, key.Public(), key)
	if err != nil {
		return nil, err
	}
	k, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		return nil, err
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: k})...), nil
}

func number() (*big.Int, error) { return rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120)) }

func read(raw []byte) (*Authority, error) {
	pair, err := tls.X509KeyPair(raw, raw)
	if err != nil {
		return nil, err
	}
	key, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	if !ok || pair.Leaf == nil || !pair.Leaf.IsCA {
		return nil, errors.New("it is of another kind")
	}
	return &Authority{cert: pair.Leaf, key: key}, nil
}

// DER is the authority's certificate, to be installed on phones.
func (a *Authority) DER() []byte { return a.cert.Raw }

// Print is its SHA-256 in pairs, to be compared by eye.
func (a *Authority) Print() string {
	h := sha256.Sum256(a.cert.Raw)
	return strings.ToUpper(strings.ReplaceAll(fmt.Sprintf("% x", h[:]), " ", ":"))
}

// Serves reports whether the authority may vouch for a host.
func (a *Authority) Serves(host string) bool {
	ip := net.ParseIP(host)
	if ip == nil {
		return host == "localhost" || strings.HasSuffix(host, ".local")
	}
	for _, n := range a.cert.PermittedIPRanges {
		if n.Contains(ip) {
			return true
		}
	}
	return false
}

// TLS serves https for the hosts, with certificates that are renewed in time.
func (a *Authority) TLS(hosts []string) (*tls.Config, error) {
	var mu sync.Mutex
	leaf, err := a.leaf(hosts)
	if err != nil {
		return nil, err
	}
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		mu.Lock()
		defer mu.Unlock()
		if a.now().After(leaf.Leaf.NotAfter.Add(-renewBefore)) {
			fresh, err := a.leaf(hosts)
			if err != nil {
				return nil, err
			}
			leaf = fresh
		}
		return leaf, nil
	}}, nil
}

func (a *Authority) leaf(hosts []string) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := number()
	if err != nil {
		return nil, err
	}
	now := a.now()
	end := now.Add(leafLife)
	if end.After(a.cert.NotAfter) {
		end = a.cert.NotAfter
	}
	t := &x509.Certificate{SerialNumber: serial, Subject: pkix.Name{CommonName: "endfloat"}, NotBefore: now.Add(-time.Hour), NotAfter: end,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	for _, h := range hosts {
		if !a.Serves(h) {
			continue
		}
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	if len(t.IPAddresses)+len(t.DNSNames) == 0 {
		return nil, fmt.Errorf("the workshop's certificate can vouch only for private addresses and names ending in .local; %s is none", strings.Join(hosts, ", "))
	}
	der, err := x509.CreateCertificate(rand.Reader, t, a.cert, key.Public(), a.key)
	if err != nil {
		return nil, fmt.Errorf("certificate: %w", err)
	}
	parsed, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, fmt.Errorf("certificate: %w", err)
	}
	return &tls.Certificate{Certificate: [][]byte{der, a.cert.Raw}, PrivateKey: key, Leaf: parsed}, nil
}
