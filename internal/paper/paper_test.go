package paper_test

import (
	"bytes"
	"context"
	"errors"
	"os/exec"
	"strings"
	"testing"

	"steadfall/internal/paper"
)

const page = `<!DOCTYPE html><title>t</title><p>one</p><p style="break-before:page">two</p>`

func TestPrint(t *testing.T) {
	if _, err := exec.LookPath("chromium"); err != nil {
		t.Skip("chromium is not installed; run make setup")
	}
	pdf, err := paper.Print(context.Background(), []byte(page))
	if err != nil {
		t.Fatal(err)
	}
	// Two pages: ISO 32000-1, 7.7.3.2, the page tree has its count.
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.Contains(pdf, []byte("/Count 2")) {
		t.Errorf("%d bytes, not a PDF of two pages", len(pdf))
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := paper.Print(ctx, []byte(page)); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
}

func TestNoChromium(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if _, err := paper.Print(context.Background(), []byte(page)); err == nil || !strings.Contains(err.Error(), "not installed; name a file that ends in .html") {
		t.Errorf("without Chromium: %v", err)
	}
}
