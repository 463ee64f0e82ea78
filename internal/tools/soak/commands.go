package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/desktest"
	"steadfall/kinematics"
)

// works are the commands that are killed.
var works = []string{"import", "backup", "restore", "check", "delete", "rescore"}

// commands is one archive on which commands are killed while others work on it.
type commands struct {
	program, dir string
	archive      string
	clip, track  []byte
	rng          *rand.Rand

	begun   int                      // folders, backups and athletes, each with a number of its own
	backup  string                   // the newest that was acknowledged
	took    map[string]time.Duration // about, of each work
	kept    map[string]bool          // trials that an import said it kept
	deleted map[string]bool          // athletes that a deletion said are gone
	backups int                      // that were acknowledged
	back    int                      // restores that were acknowledged
}

// work is a command with what it leaves to be looked at.
type work struct {
	name string
	args []string
	from string // the folder that it imports, or ""
	made string // the file or folder that it makes, or ""
	who  string // whom it deletes, or ""
}

// killedCommands kills commands on an archive, each while another works on the same one, and
// prints what was lost.
func killedCommands(ctx context.Context, program, dir string, kills int, seed uint64) error {
	c := &commands{
		program: program, dir: dir, archive: filepath.Join(dir, "squad"), rng: rand.New(rand.NewPCG(seed, 3)),
		took: map[string]time.Duration{}, kept: map[string]bool{}, deleted: map[string]bool{},
	}
	if err := c.begin(ctx); err != nil {
		return err
	}
	done, early := map[string]int{}, 0
	for i := range kills {
		hit, err := c.round(ctx, works[i%len(works)])
		if err != nil {
			return fmt.Errorf("kill %d: %w", i+1, err)
		}
		done[works[i%len(works)]]++
		if !hit {
			early++
		}
		fmt.Fprintf(os.Stderr, "\r%d of %d commands killed", i+1, kills)
	}
	fmt.Fprintln(os.Stderr)
	if err := c.leftovers(ctx); err != nil {
		return err
	}
	fmt.Printf("%d commands were killed, each with a second one at work on the same archive; %d had ended just before.\n", kills, early)
	for _, w := range works {
		fmt.Printf("%6d  %s\n", done[w], w)
	}
	fmt.Printf("Trials that an import said it keeps: %d, lost 0; athletes said to be deleted: %d, left 0.\n", len(c.kept), len(c.deleted))
	fmt.Printf("Backups that were acknowledged: %d, restores: %d, each whole. Files without a row after a check: 0; folders left over: 0.\n", c.backups, c.back)
	return nil
}

// begin makes the archive, and runs each command once undisturbed to learn how long it takes.
func (c *commands) begin(ctx context.Context) error {
	_, placements, err := smallLandings(c.dir)
	if err != nil {
		return err
	}
	track := filepath.Join(c.dir, "track.csv")
	if out, err := exec.CommandContext(ctx, c.program, "track", clipFile(c.dir, 0), "--placements", placements, "--placer", "none", "-o", track).CombinedOutput(); err != nil {
		return fmt.Errorf("no track: %s", out)
	}
	if c.clip, err = os.ReadFile(clipFile(c.dir, 0)); err != nil {
		return err
	}
	if c.track, err = os.ReadFile(track); err != nil {
		return err
	}
	a, _, err := desktest.NewSquad(ctx, c.archive, "Ash")
	if err != nil {
		return err
	}
	if err := a.Close(); err != nil {
		return err
	}
	for _, name := range works {
		w, err := c.prepare(ctx, name)
		if err != nil {
			return err
		}
		begun := time.Now()
		out, err := c.start(ctx, w).wait()
		if err != nil {
			return err
		}
		c.took[name] = time.Since(begun)
		if err := c.acknowledge(ctx, w, out, true); err != nil {
			return err
		}
	}
	return nil
}

// round kills one command with another at work beside it, and looks at what is there. hit is
// false where the command ended before.
func (c *commands) round(ctx context.Context, name string) (hit bool, err error) {
	victim, err := c.prepare(ctx, name)
	if err != nil {
		return false, err
	}
	second, err := c.prepare(ctx, works[c.rng.IntN(len(works))])
	if err != nil {
		return false, err
	}
	beside, killed := c.start(ctx, second), c.start(ctx, victim)
	// In the middle of the work, wherever that may be.
	time.Sleep(time.Duration(c.rng.Float64() * 1.5 * float64(c.took[name])))
	killed.kill()
	said, err := killed.wait()
	hit = err != nil
	if err := c.acknowledge(ctx, victim, said, err == nil); err != nil {
		return hit, err
	}
	if said, err = beside.wait(); err != nil {
		return hit, fmt.Errorf("%s beside a killed %s: %w", second.name, name, err)
	}
	if err := c.acknowledge(ctx, second, said, true); err != nil {
		return hit, err
	}
	return hit, c.look(ctx)
}

// prepare makes ready what a command needs.
func (c *commands) prepare(ctx context.Context, name string) (work, error) {
	c.begun++
	w := work{name: name}
	switch name {
	case "import":
		w.from = c.folder(c.begun)
		w.args = []string{"session", "import", w.from, "--date", "2026-09-01"}
		return w, c.film("Ash", c.begun, 2)
	case "backup":
		w.made = filepath.Join(c.dir, fmt.Sprintf("backup-%d.zip", c.begun))
		w.args = []string{"archive", "backup", "-o", w.made}
	case "restore":
		w.made = filepath.Join(c.dir, fmt.Sprintf("back-%d", c.begun))
		w.args = []string{"archive", "restore", c.backup, "--archive", w.made}
		return w, nil
	case "check":
		w.args = []string{"archive", "check", "--repair"}
	case "rescore":
		w.args = []string{"archive", "rescore", "--checklist", []string{"padua-2009", "two-foot-landing"}[c.begun%2]}
	case "delete":
		w.who = fmt.Sprintf("Elm%d", c.begun)
		w.args = []string{"athlete", "delete", w.who, "--yes"}
		if err := c.film(w.who, c.begun, 1); err != nil {
			return w, err
		}
		for _, args := range [][]string{
			{"athlete", "add", w.who, "--height-cm", "172", "--consent-by", "the athlete", "--consent-on", "2026-08-01"},
			{"session", "import", c.folder(c.begun), "--date", "2026-09-01"},
		} {
			if _, err := c.start(ctx, work{name: name, args: args}).wait(); err != nil {
				return w, err
			}
		}
	}
	return w, nil
}

func (c *commands) folder(n int) string { return filepath.Join(c.dir, fmt.Sprintf("day-%d", n)) }

// film puts new clips of an athlete with their tracks into a folder.
func (c *commands) film(who string, day, trials int) error {
	if err := os.Mkdir(c.folder(day), 0o700); err != nil {
		return err
	}
	for i := range trials {
		n := day*10 + i
		name := filepath.Join(c.folder(day), fmt.Sprintf("%s_%s_%d_front", who, kinematics.DropLanding, n))
		if err := os.WriteFile(name+".mp4", desktest.Another(c.clip, n), 0o600); err != nil {
			return err
		}
		if err := os.WriteFile(name+".csv", c.track, 0o600); err != nil {
			return err
		}
	}
	return nil
}

// running is a command that was started.
type running struct {
	cmd         *exec.Cmd
	out, errors bytes.Buffer
	begun       error
}

func (c *commands) start(ctx context.Context, w work) *running {
	r := &running{cmd: exec.CommandContext(ctx, c.program, w.args...)}
	r.cmd.Env = append(os.Environ(), "STEADFALL_ARCHIVE="+c.archive)
	r.cmd.Stdout, r.cmd.Stderr = &r.out, &r.errors
	r.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // so that a kill takes its children along, as a power cut would
	r.begun = r.cmd.Start()
	return r
}

func (r *running) kill() {
	if r.begun == nil {
		_ = syscall.Kill(-r.cmd.Process.Pid, syscall.SIGKILL) // it may have ended
	}
}

// wait returns what a command said, and how it ended.
func (r *running) wait() (string, error) {
	if r.begun != nil {
		return "", r.begun
	}
	if err := r.cmd.Wait(); err != nil {
		return r.out.String(), fmt.Errorf("%v: %w: %s %s", r.cmd.Args[1:], err, r.out.String(), r.errors.String())
	}
	return r.out.String(), nil
}

// acknowledge writes down what a command said is done, and looks at what it made.
func (c *commands) acknowledge(ctx context.Context, w work, said string, ended bool) error {
	for line := range strings.Lines(said) {
		if name, ok := strings.CutPrefix(line, "kept "); ok {
			name, _, _ = strings.Cut(name, ":")
			c.kept[name] = true
		}
	}
	if strings.Contains(said, "deleted "+w.who) && w.who != "" {
		c.deleted[w.who] = true
	}
	if w.from != "" {
		if err := os.RemoveAll(w.from); err != nil {
			return err
		}
	}
	if w.made == "" {
		return nil
	}
	if _, err := os.Stat(w.made); errors.Is(err, os.ErrNotExist) && !ended {
		return nil
	} else if err != nil {
		return fmt.Errorf("%s said that it is done: %w", w.name, err)
	}
	if w.name == "restore" {
		c.back++
		return errors.Join(wholeArchive(ctx, w.made), os.RemoveAll(w.made))
	}
	back := w.made + "-back"
	lost, err := archive.Restore(ctx, w.made, back)
	if err != nil || len(lost) > 0 {
		return fmt.Errorf("a backup is not whole: %v, %w", lost, err)
	}
	c.backups++
	if c.backup != "" {
		err = os.Remove(c.backup)
	}
	c.backup = w.made
	return errors.Join(err, os.RemoveAll(back))
}

// look checks the archive as the next command finds it.
func (c *commands) look(ctx context.Context) error {
	if _, err := c.start(ctx, work{args: []string{"archive", "check", "--repair"}}).wait(); err != nil {
		return err
	}
	if err := wholeArchive(ctx, c.archive); err != nil {
		return err
	}
	a, err := archive.OpenAsIs(ctx, c.archive)
	if err != nil {
		return err
	}
	defer a.Close()
	trials, err := a.Trials(ctx, "", 0)
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, t := range trials {
		there[t.ShortName()] = true
		if c.deleted[t.Athlete] {
			return fmt.Errorf("%s was deleted and is there", t.Athlete)
		}
	}
	for name := range c.kept {
		who, _, _ := strings.Cut(name, ",")
		if !there[name] && who == "Ash" {
			return fmt.Errorf("%s was kept and is not there", name)
		}
	}
	return nil
}

// wholeArchive says what is wrong with an archive, or has no row.
func wholeArchive(ctx context.Context, dir string) error {
	a, err := archive.OpenAsIs(ctx, dir)
	if err != nil {
		return err
	}
	defer a.Close()
	checked, err := a.Check(ctx, nil)
	if err == nil && len(checked.Problems)+len(checked.LeftOver)+checked.Pending > 0 {
		err = fmt.Errorf("%s: problems %v, without a row %v, unfinished %d", dir, checked.Problems, checked.LeftOver, checked.Pending)
	}
	return err
}

// leftovers looks for folders of killed commands after one more backup.
func (c *commands) leftovers(ctx context.Context) error {
	w, err := c.prepare(ctx, "backup")
	if err != nil {
		return err
	}
	said, err := c.start(ctx, w).wait()
	if err != nil {
		return err
	}
	if err := c.acknowledge(ctx, w, said, true); err != nil {
		return err
	}
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			return fmt.Errorf("%s is left over", e.Name())
		}
	}
	return nil
}
