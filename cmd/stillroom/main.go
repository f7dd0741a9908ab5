// Stillroom measures loudspeakers and headphones. With no arguments it opens its
// window; the commands do the same work without one.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	_ "stillroom/cmd/stillroom/locale" // before the toolkit reads the locale
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := &program{out: os.Stdout, errs: os.Stderr, env: os.Getenv, makers: makers()}
	status := p.run(ctx, os.Args[1:])
	stop()
	os.Exit(status)
}
