package archive

import (
	"sync"
	"testing"
)

// Whoever clears away what was cut off does not take the folder of somebody who begins just then.
func TestWorkplacesSideBySide(t *testing.T) {
	parent := t.TempDir()
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 200 {
				_, clear, err := workplace(parent, backupWork)
				if err != nil {
					t.Error(err)
					return
				}
				clear()
			}
		})
	}
	all.Wait()
}
