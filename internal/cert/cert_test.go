package cert

import (
	"crypto/x509"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// A certificate of the workshop is good for private addresses and names for whoever
// trusts the authority, and for nothing else. The path is verified by crypto/x509
// after RFC 5280.
func TestAuthority(t *testing.T) {
	now := time.Date(2026, 3, 5, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	file := filepath.Join(t.TempDir(), "bench-certificate.pem")
	a, err := Open(file, clock)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v %v", info.Mode(), err)
	}
	again, err := Open(file, clock)
	if err != nil || again.Print() != a.Print() {
		t.Fatalf("opened again it is another: %v", err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(a.cert)
	leaf, err := a.leaf([]string{"192.168.1.20", "bench.local", "example.org"})
	if err != nil {
		t.Fatal(err)
	}
	for host, good := range map[string]bool{"192.168.1.20": true, "bench.local": true, "example.org": false, "192.168.1.21": false} {
		if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: host, Roots: roots, CurrentTime: now}); (err == nil) != good {
			t.Errorf("%s: %v", host, err)
		}
	}
	if leaf.Leaf.NotAfter.Sub(leaf.Leaf.NotBefore) > 397*24*time.Hour {
		t.Error("it lives longer than browsers allow")
	}
	if _, err := a.leaf([]string{"example.org", "8.8.8.8"}); err == nil {
		t.Error("it vouches for the internet")
	}
	// Even a leaf made with the stolen key is worth nothing outside the network.
	a.cert.PermittedDNSDomains = nil
	a.cert.PermittedIPRanges = []*net.IPNet{{IP: net.IPv4zero.To4(), Mask: net.CIDRMask(0, 32)}}
	wide, err := a.leaf([]string{"8.8.8.8"})
	if err != nil {
		t.Fatal(err)
	}
	fresh := x509.NewCertPool()
	fresh.AddCert(again.cert)
	if _, err := wide.Leaf.Verify(x509.VerifyOptions{DNSName: "8.8.8.8", Roots: fresh, CurrentTime: now}); err == nil {
		t.Error("the authority's constraints do not hold")
	}
}
