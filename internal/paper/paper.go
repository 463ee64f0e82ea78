// Package paper prints pages by the Chromium that is installed.
package paper

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"steadfall/internal/safefile"
)

// names are what Chromium is called; the first that is found is taken.
var names = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"}

// patience is how long a page may take: charts of many trials take a second or two.
const patience = 2 * time.Minute

// Printer is the path of the Chromium that is installed.
func Printer() (string, error) {
	for _, n := range names {
		if p, err := exec.LookPath(n); err == nil {
			return p, nil
		}
	}
	return "", errors.New("a PDF needs Chromium, which is not installed; name a file that ends in .html and print it from a browser")
}

// Print is a page as a PDF of A4 by its print style sheet. The page must hold all it needs:
// Chromium runs in a new profile without extensions, and the page's own policy keeps it from
// asking for anything.
func Print(ctx context.Context, html []byte) ([]byte, error) {
	bin, err := Printer()
	if err != nil {
		return nil, err
	}
	dir, err := safefile.TempDir("steadfall-paper-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	page, out := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(page, html, 0o600); err != nil {
		return nil, fmt.Errorf("a temporary file could not be written: %s", safefile.Why(err))
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	args := []string{
		"--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-component-update", "--no-pdf-header-footer",
		"--user-data-dir=" + filepath.Join(dir, "profile"), "--virtual-time-budget=5000", "--print-to-pdf=" + out, "file://" + page,
	}
	if os.Geteuid() == 0 { // Chromium's own sandbox refuses root
		args = append([]string{"--no-sandbox"}, args...)
	}
	c := exec.CommandContext(ctx, bin, args...)
	c.WaitDelay = time.Second
	if err := c.Run(); err != nil {
		if e := ctx.Err(); errors.Is(e, context.Canceled) {
			return nil, e
		}
		return nil, fmt.Errorf("the page could not be printed by Chromium (%w); name a file that ends in .html and print it from a browser", err)
	}
	pdf, err := os.ReadFile(out)
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		return nil, errors.New("nothing was printed by Chromium; name a file that ends in .html and print it from a browser")
	}
	return pdf, nil
}
