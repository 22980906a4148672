package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"sync"

	"github.com/spf13/cobra"
)

// service is one thing that runs as long as the program serves. Its run ends
// when ctx does, after it has finished what was acknowledged; any other end
// stops the program.
type service struct {
	name string
	run  func(ctx context.Context) error
}

// defaultListen is where health and metrics are, for this machine only.
const defaultListen = "127.0.0.1:9464"

func (p *program) serveCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "serve",
		Short: "Keep the book open: take over hand edits, ring timers, answer the other commands",
		Long: "serve keeps the book until it is stopped. Hand edits in the folder are in the book a moment after they are saved; ask, chat and book push\n" +
			"talk to it through a socket in the data folder. One serve keeps a book; a second one is told so.\n\n" +
			"With a token in TAMIS_DISCORD_TOKEN (or a file that TAMIS_DISCORD_TOKEN_FILE names) it is in the team's channel; docs/channel.md says how.\n" +
			"TAMIS_BOOKS names a folder with one book for each house. Health and metrics: " + defaultListen + " or TAMIS_LISTEN (/health, /metrics; none: off).\n" +
			"Logs go to standard error: TAMIS_LOG debug, info, warn, error; TAMIS_LOG_FORMAT json. They hold no message.",
		Example: "  tamis serve --book ./book\n  TAMIS_BOOKS=./books tamis serve",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return p.serve(c.Context()) },
	}
}

func (p *program) serve(ctx context.Context) (err error) {
	log := p.log()
	places, err := p.houses()
	if err != nil {
		return err
	}
	count := newCounters()
	channel, err := p.channel(log)
	if err != nil {
		return err
	}
	var houses []*house
	defer func() {
		for _, h := range houses {
			err = errors.Join(err, h.close())
		}
	}()
	var all []service
	for _, id := range slices.Sorted(maps.Keys(places)) {
		h, err := p.openHouse(ctx, id, places[id], channel, count, log)
		if err != nil {
			return fmt.Errorf("%s: %w", orElse(places[id].dir, "the demo book"), err)
		}
		houses = append(houses, h)
		count.watch(h)
		all = append(all, h.services()...)
	}
	if channel != nil {
		s, err := channel.service(houses, p.channelFolder(places), count, log)
		if err != nil {
			return err
		}
		all = append(all, s)
	}
	address := "none"
	if want := orElse(p.getenv("TAMIS_LISTEN"), defaultListen); want != "none" {
		l, err := listen(ctx, want, houses, count, log)
		if err != nil {
			return err
		}
		address = l.l.Addr().String()
		all = append(all, service{"health and metrics", l.Run})
	}
	for _, h := range houses {
		s := h.state(ctx)
		h.log.Info("the book is open", "revision", s.Revision, "recipes", s.Recipes, "out", s.Out, "faults", s.Faults)
	}
	log.Info("serving", "houses", len(houses), "listen", address)
	err = runAll(ctx, all, log)
	log.Info("stopped")
	return err
}

// runAll runs services until ctx ends or one of them does, and waits for all.
func runAll(ctx context.Context, all []service, log *slog.Logger) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	errs := make([]error, len(all))
	var running sync.WaitGroup
	for i, s := range all {
		running.Go(func() {
			err := s.run(ctx)
			if ctx.Err() == nil {
				if err == nil {
					err = errors.New("it ended by itself")
				}
				log.Error("a service has ended; the program stops", "service", s.name, "err", err)
			}
			if err != nil && !errors.Is(err, context.Canceled) {
				errs[i] = fmt.Errorf("%s: %w", s.name, err)
			}
			stop()
		})
	}
	running.Wait()
	return errors.Join(errs...)
}
