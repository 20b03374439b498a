package term

import (
	"context"
	"io"
	"sync"
	"time"

	"github.com/jedib0t/go-pretty/v6/progress"
)

// Progress shows how far a long piece of work is. Its methods may be called from
// several goroutines; a Progress that shows nothing is as good as one that does.
type Progress struct {
	writer  progress.Writer
	tracker *progress.Tracker
	ended   chan struct{}
	once    sync.Once
	forget  func() bool // ctx need not call Done any more
}

// NoProgress returns a Progress that shows nothing.
func NoProgress() *Progress { return &Progress{} }

// NewProgress shows title and a bar of total steps on w, a terminal, until Done is
// called or ctx ends. A total of 0 is work of unknown length.
func NewProgress(ctx context.Context, w io.Writer, title string, total int) *Progress {
	writer := progress.NewWriter()
	writer.SetOutputWriter(w)
	writer.SetNumTrackersExpected(1)
	writer.SetAutoStop(false)
	writer.SetTrackerLength(20)
	writer.SetMessageLength(30)
	writer.SetUpdateFrequency(100 * time.Millisecond)
	style := progress.StyleDefault // a copy: the styles are values
	style.Visibility.Time = false
	style.Visibility.Value = total > 0
	writer.SetStyle(style)
	p := &Progress{
		writer:  writer,
		tracker: &progress.Tracker{Message: Clean(title), Total: int64(total), RemoveOnCompletion: true},
		ended:   make(chan struct{}),
	}
	writer.AppendTracker(p.tracker)
	go func() {
		defer close(p.ended)
		writer.Render()
	}()
	p.forget = context.AfterFunc(ctx, p.takeAway)
	return p
}

// Step says that n more steps are done.
func (p *Progress) Step(n int) {
	if p.tracker != nil {
		p.tracker.Increment(int64(n))
	}
}

// Done takes the display away and waits until it is gone, so that the answer that
// follows is not mixed with it. More calls than one do no harm.
func (p *Progress) Done() {
	if p.writer == nil {
		return
	}
	p.forget()
	p.takeAway()
}

func (p *Progress) takeAway() {
	p.once.Do(func() {
		p.tracker.MarkAsDone()
		// Stop before Render has begun is lost, so it is repeated until Render ends.
		for {
			p.writer.Stop()
			select {
			case <-p.ended:
				return
			case <-time.After(10 * time.Millisecond):
			}
		}
	})
}
