package desk

import (
	"fmt"
	"net/http"
	"sync"
	"time"
)

// news tells the pages that look on when something has changed. What has changed they ask
// for themselves.
type news struct {
	lock  sync.Mutex
	hears map[string]map[chan struct{}]bool // by topic
}

func sessionTopic(id int64) string { return fmt.Sprint("session ", id) }
func trialTopic(id int64) string   { return fmt.Sprint("trial ", id) }

// tell wakes everybody who hears a topic.
func (n *news) tell(topic string) {
	n.lock.Lock()
	defer n.lock.Unlock()
	for c := range n.hears[topic] {
		select {
		case c <- struct{}{}:
		default: // is awake already
		}
	}
}

func (n *news) hear(topic string) (heard chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	n.lock.Lock()
	defer n.lock.Unlock()
	if n.hears[topic] == nil {
		n.hears[topic] = map[chan struct{}]bool{}
	}
	n.hears[topic][c] = true
	return c, func() {
		n.lock.Lock()
		defer n.lock.Unlock()
		delete(n.hears[topic], c)
		if len(n.hears[topic]) == 0 {
			delete(n.hears, topic)
		}
	}
}

// heartbeat keeps quiet streams from being cut off on their way.
const heartbeat = 25 * time.Second

// stream sends an event for every change of a topic until the browser goes or its login
// ends (server-sent events, HTML standard).
func (d *Desk) stream(r request, topic string) error {
	heard, stop := d.news.hear(topic)
	defer stop()
	ctl := http.NewResponseController(r.w)
	_ = ctl.SetWriteDeadline(time.Time{}) // it stays open
	r.w.Header().Set("Content-Type", "text/event-stream")
	say := func(text string) bool {
		_, err := fmt.Fprint(r.w, text)
		return err == nil && ctl.Flush() == nil
	}
	if !say("event: change\ndata: open\n\n") { // what changed before it was heard
		return nil
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return nil
		case <-d.closed:
			return nil
		case <-heard:
			if !say("event: change\ndata: now\n\n") {
				return nil
			}
		case <-beat.C:
			if c, err := r.Cookie(cookieName); err != nil || !d.stillIn(r, c.Value) || !say(": still here\n\n") {
				return nil
			}
		}
	}
}

func (d *Desk) stillIn(r request, token string) bool {
	_, err := d.Archive.SignedIn(r.Context(), token)
	return err == nil
}
