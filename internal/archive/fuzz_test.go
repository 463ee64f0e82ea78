package archive

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/kinematics"
)

// Whatever a backup holds, restoring it gives an archive or one plain sentence, and then
// leaves nothing behind; no file of it lands outside its folder.
func FuzzRestore(f *testing.F) {
	ctx := context.Background()
	dir := f.TempDir()
	a, err := Create(ctx, filepath.Join(dir, "squad"), Squad{Name: "Lanterns"})
	if err != nil {
		f.Fatal(err)
	}
	zip := filepath.Join(dir, "b.zip")
	if _, err := a.Backup(ctx, zip, nil); err != nil {
		f.Fatal(err)
	}
	a.Close()
	data, err := os.ReadFile(zip)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Fuzz(func(t *testing.T, data []byte) {
		dir := t.TempDir()
		zip := filepath.Join(dir, "b.zip")
		if err := os.WriteFile(zip, data, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Restore(ctx, zip, filepath.Join(dir, "squad"))
		entries, e := os.ReadDir(dir)
		if e != nil {
			t.Fatal(e)
		}
		if err != nil && (len(entries) != 1 || strings.Contains(err.Error(), "\n")) {
			t.Errorf("%v, and left %d files", err, len(entries)-1)
		}
	})
}

// Whatever the draws of a measurement hold, they are read or refused.
func FuzzDraws(f *testing.F) {
	f.Add(packDraws([]kinematics.Measure{{Draws: []float64{1, 2}}, {}}))
	f.Add([]byte{255, 255, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		ms := make([]kinematics.Measure, 2)
		if err := unpackDraws(data, ms); err == nil && len(data) < 4+4*(len(ms[0].Draws)+len(ms[1].Draws)) {
			t.Errorf("%d draws out of %d bytes", len(ms[0].Draws)+len(ms[1].Draws), len(data))
		}
	})
}
