package notebook

import "context"

// turns lets only so many do something costly at once; the others wait.
type turns chan struct{}

// take waits for a turn. It returns an error when the context ends before.
func (t turns) take(ctx context.Context) error {
	select {
	case t <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (t turns) end() { <-t }
