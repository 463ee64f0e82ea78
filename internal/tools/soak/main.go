// Command soak wears the tool out and prints what became of it: it scores clip after clip
// and counts what is held in between, it gives damaged clips to the worker, and it kills the
// desk's server and its worker in the middle of their work, again and again, and commands on an
// archive while others work on it, and counts what was lost.
//
//	go run ./internal/tools/soak [-part steady|clips|kills|commands] [-steady N] [-clips N] [-seed N] [-kills N] [-commands N]
package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"syscall"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/desktest"
)

func main() {
	kills := flag.Int("kills", 50, "how often to kill the server, and how often its worker")
	steady := flag.Int("steady", 1000, "how many clips to score one after the other while counting what is held")
	clips := flag.Int("clips", 5000, "how many damaged clips to give to the worker")
	seed := flag.Uint64("seed", 1, "of the damage")
	commands := flag.Int("commands", 500, "how many commands on an archive to kill with a second one at work")
	part := flag.String("part", "", "only that `part`: steady, clips, kills or commands")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	for _, p := range []struct {
		name string
		run  func(program, dir string) error
	}{
		{"steady", func(program, dir string) error { return steadiness(ctx, program, dir, *steady) }},
		{"clips", func(program, dir string) error { return mutatedClips(ctx, program, dir, *clips, *seed) }},
		{"kills", func(program, dir string) error { return killed(ctx, program, dir, *kills) }},
		{"commands", func(program, dir string) error { return killedCommands(ctx, program, dir, *commands, *seed) }},
	} {
		if *part != "" && *part != p.name {
			continue
		}
		if err := desktest.WithProgram(p.run); err != nil {
			stop()
			fmt.Fprintln(os.Stderr, "soak: error:", err)
			os.Exit(1)
		}
	}
}

const password = "long enough now"

// soak is one archive that is served by one desk after another.
type soak struct {
	program, dir string
	archive      *archive.Archive
	server       *desktest.Server
	client       *desktest.Client
	session      archive.Session
	rng          *rand.Rand
	clip         []byte

	uploads map[string]bool // keys of what the desk said it keeps
	edits   map[edit]bool
	trials  []int64
	sent    int
}

// edit is a knee that was placed on a frame of a trial.
type edit struct {
	trial int64
	frame int
}

// killed gives a desk work and kills it, or its worker, in the middle of it.
func killed(ctx context.Context, program, dir string, kills int) error {
	var err error
	s := &soak{program: program, dir: filepath.Join(dir, "squad"), rng: rand.New(rand.NewPCG(1, 2)), uploads: map[string]bool{}, edits: map[edit]bool{}}
	if s.clip, err = os.ReadFile(filepath.Join("testdata", "clips", "two_foot_knee_in_front.mp4")); err != nil {
		return err
	}
	if s.archive, s.session, err = desktest.NewSquad(ctx, s.dir, "Ash"); err != nil {
		return err
	}
	defer s.archive.Close()
	if err := s.start(ctx); err != nil {
		return err
	}
	defer func() { s.server.Kill() }()
	serverKills, workerKills := 0, 0
	for serverKills < kills || workerKills < kills {
		if err := s.work(ctx); err != nil {
			return err
		}
		// In the middle of the work, wherever that may be.
		time.Sleep(time.Duration(s.rng.IntN(8000)) * time.Millisecond)
		if children := s.server.Children(); len(children) > 0 && workerKills < kills && s.rng.IntN(2) == 0 {
			if syscall.Kill(children[0], syscall.SIGKILL) == nil {
				workerKills++
			}
		} else if serverKills < kills {
			s.server.Kill()
			serverKills++
			if err := s.start(ctx); err != nil {
				return fmt.Errorf("after %d kills: %w", serverKills, err)
			}
		}
		fmt.Fprintf(os.Stderr, "\rserver killed %d, worker %d of %d times", serverKills, workerKills, kills)
	}
	fmt.Fprintln(os.Stderr)
	return s.count(ctx, serverKills, workerKills)
}

func (s *soak) start(ctx context.Context) error {
	var err error
	if s.server, err = desktest.Serve(s.program, "serve", "--archive", s.dir, "--listen", "127.0.0.1:0"); err != nil {
		return err
	}
	s.client = desktest.NewClient(s.server.URL)
	return s.client.Enter(ctx, s.server.First, "Reed", password)
}

// work gives the desk something to do: a clip, and a point placed on a trial. What it says
// is kept is written down.
func (s *soak) work(ctx context.Context) error {
	takes, err := s.archive.Takes(ctx, s.session.ID)
	if err != nil {
		return err
	}
	waiting := 0
	for _, t := range takes {
		if len(t.Trials) > 0 && !slices.Contains(s.trials, t.Trials[0]) {
			s.trials = append(s.trials, t.Trials[0])
		}
		if t.State != archive.ScoredOK && t.State != archive.NeedsLook && t.State != archive.Refused {
			waiting++
		}
	}
	if waiting < 12 {
		s.sent++
		key := fmt.Sprintf("upload-%04d", s.sent)
		about := map[string]string{"session": fmt.Sprint(s.session.ID), "athlete": "Ash", "key": key, "task": "drop-landing", "limb": "both", "view": "front", "wants": "front"}
		if err := s.client.Upload(ctx, about, desktest.Another(s.clip, s.sent)); err != nil {
			return err
		}
		s.uploads[key] = true
	}
	if len(s.trials) > 0 && s.rng.IntN(4) == 0 {
		return s.place(ctx, s.trials[s.rng.IntN(len(s.trials))])
	}
	return nil
}

func (s *soak) place(ctx context.Context, trial int64) error {
	e := edit{trial, 80 + s.rng.IntN(20)}
	body := fmt.Sprintf(`{"view": "front", "set": [{"frame": %d, "landmark": "left_knee", "x": 560, "y": 820}]}`, e.frame)
	status, _, words, err := s.client.Do(ctx, http.MethodPost, fmt.Sprintf("/trial/%d/points", trial), map[string]string{"X-Csrf": s.client.CSRF}, []byte(body))
	if err != nil {
		return err
	}
	if status != http.StatusNoContent {
		return fmt.Errorf("a point was not kept: %d, %d bytes", status, len(words))
	}
	s.edits[e] = true
	return nil
}

// count waits until the desk has worked everything off and prints what is there of what it
// said it keeps.
func (s *soak) count(ctx context.Context, serverKills, workerKills int) error {
	end := time.Now().Add(30 * time.Minute)
	var takes []archive.Take
	for {
		var err error
		if takes, err = s.archive.Takes(ctx, s.session.ID); err != nil {
			return err
		}
		left := 0
		for _, t := range takes {
			again := archive.AgainState("")
			if len(t.Trials) > 0 {
				if again, _, err = s.archive.Again(ctx, t.Trials[0]); err != nil {
					return err
				}
			}
			if t.State != archive.ScoredOK && t.State != archive.NeedsLook && t.State != archive.Refused || again == archive.AgainWaiting || again == archive.AgainPlacing {
				left++
			}
		}
		if left == 0 || time.Now().After(end) {
			break
		}
		fmt.Fprintf(os.Stderr, "\r%d clips are still to be worked on ", left)
		time.Sleep(time.Second)
	}
	fmt.Fprintln(os.Stderr)
	scored, refused, lostUploads, lostEdits := 0, 0, len(s.uploads), 0
	for _, t := range takes {
		if s.uploads[t.Key] {
			lostUploads--
		}
		switch {
		case len(t.Trials) > 0:
			scored++
		case t.State == archive.Refused:
			refused++
			fmt.Println("refused:", t.Why)
		}
	}
	for e := range s.edits {
		placed, err := s.archive.Placements(ctx, e.trial)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(placed, func(p archive.Placed) bool { return p.Frame == e.frame }) {
			lostEdits++
		}
	}
	c, err := s.archive.Check(ctx, nil)
	if err != nil {
		return err
	}
	fmt.Printf("The server was killed %d times and its worker %d times in the middle of their work.\n", serverKills, workerKills)
	fmt.Printf("Uploads that the desk said it keeps: %d, lost %d; scored %d, refused %d, trials %d.\n", len(s.uploads), lostUploads, scored, refused, c.Trials)
	fmt.Printf("Points that the desk said it keeps: %d, lost %d.\n", len(s.edits), lostEdits)
	fmt.Printf("Problems in the archive: %d; files left over: %d.\n", len(c.Problems), len(c.LeftOver))
	if lostUploads+lostEdits+len(c.Problems) > 0 || scored+refused != len(takes) {
		return fmt.Errorf("something was lost: %v", c.Problems)
	}
	return nil
}
