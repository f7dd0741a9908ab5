package records

import "context"

// By returns a context that names the person who acts, for the history. Without it
// the history names the take's own person on Keep, and the login name otherwise.
func By(ctx context.Context, person string) context.Context {
	return context.WithValue(ctx, actor{}, person)
}

// Actor is the person that By named, or empty.
func Actor(ctx context.Context) string {
	person, _ := ctx.Value(actor{}).(string)
	return person
}

// actor is the key of By.
type actor struct{}
