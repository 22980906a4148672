// Command tamis answers a kitchen team's questions from the house recipe book:
// flags, environment and files flow in, replies flow out.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv)
	stop()
	os.Exit(code)
}

// Exit codes.
const (
	exitDone        = 0
	exitFailed      = 1
	exitWrongUse    = 2
	exitFaults      = 3
	exitNotAnswered = 4
)

// run is the program without its process: tests start it too.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer, getenv func(string) string) int {
	p := &program{in: in, out: out, errOut: errOut, getenv: getenv}
	root := p.root()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errOut)
	err := root.ExecuteContext(ctx)
	if p.kept != nil {
		p.kept.saveCache(p.log())
	}
	if err != nil {
		return p.exit(err)
	}
	return p.code
}
