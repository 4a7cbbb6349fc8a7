package shop

import "sync"

// bell tells listeners that a book has changed, so that open screens refresh.
// A ring that nobody waits for is lost; it carries no data.
type bell struct {
	mu  sync.Mutex
	ear map[chan string]bool
}

func (b *bell) ring(book string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for c := range b.ear {
		select {
		case c <- book:
		default:
		}
	}
}

// Nudge tells open screens to look again at what is no entry of a book.
func (sh *Shop) Nudge(book string) { sh.bell.ring(book) }

// Listen returns a channel on which the ids of changed books arrive, and a
// function that stops it.
func (sh *Shop) Listen() (<-chan string, func()) {
	c := make(chan string, 16)
	sh.bell.mu.Lock()
	if sh.bell.ear == nil {
		sh.bell.ear = map[chan string]bool{}
	}
	sh.bell.ear[c] = true
	sh.bell.mu.Unlock()
	return c, func() {
		sh.bell.mu.Lock()
		delete(sh.bell.ear, c)
		sh.bell.mu.Unlock()
	}
}

// Listeners is how many screens wait for changes.
func (sh *Shop) Listeners() int {
	sh.bell.mu.Lock()
	defer sh.bell.mu.Unlock()
	return len(sh.bell.ear)
}
