package discordtest

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"
)

func ask(i int) string { return fmt.Sprintf("how much walnut for %d", i%40+1) }

func TestLoadEcho(t *testing.T) {
	t.Parallel()
	r := Load(t, LoadOptions{Questions: ask, Rate: 100, For: 2 * time.Second}, Echo)
	t.Log(r)
	if r.Asked != 200 || r.Lost != 0 || r.Doubled != 0 || r.P99 == 0 || r.P99 > r.Max {
		t.Errorf("%+v", r)
	}
}

// TestLoadSees: what is lost and what is doubled is found.
func TestLoadSees(t *testing.T) {
	t.Parallel()
	drop := func(ctx context.Context, h House) error {
		h.Server.Inject(Fault{Route: "POST /channels/{channel_id}/messages", Status: 500, Times: 3})
		return Echo(ctx, h)
	}
	if r := Load(t, LoadOptions{Questions: ask, Rate: 50, For: time.Second, Drain: time.Second}, drop); r.Lost != 3 || r.Doubled != 0 {
		t.Errorf("with three sends refused: %v", r)
	}
	twice := func(ctx context.Context, h House) error {
		h.Server.Doubled(true)
		return Echo(ctx, h)
	}
	if r := Load(t, LoadOptions{Questions: ask, Rate: 50, For: time.Second}, twice); r.Lost != 0 || r.Doubled != 50 {
		t.Errorf("with every event doubled: %v", r)
	}
}

func chaosFaults(t *testing.T) int {
	if v := os.Getenv("TAMIS_CHAOS"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil {
			t.Fatalf("TAMIS_CHAOS is a number of faults, not %q", v)
		}
		return n
	}
	return 40
}

func TestChaosCareful(t *testing.T) {
	t.Parallel()
	r := Chaos(t, ChaosOptions{LoadOptions: LoadOptions{Questions: ask, Rate: 50}, Faults: chaosFaults(t), Every: 50 * time.Millisecond, Seed: 3}, runCareful)
	t.Log(r)
	if r.Asked < 20 || r.Lost != 0 || r.Doubled != 0 || r.Restarts == 0 || r.Drops == 0 {
		t.Errorf("a careful bot: %v", r)
	}
}

// TestChaosBites: a bot that neither catches up nor enforces a nonce fails.
func TestChaosBites(t *testing.T) {
	t.Parallel()
	careless := func(ctx context.Context, h House) error {
		end := make(chan struct{})
		go func() {
			defer close(end)
			for ctx.Err() == nil {
				lap, stop := context.WithTimeout(ctx, 400*time.Millisecond)
				_ = Echo(lap, h)
				stop()
			}
		}()
		<-end
		return nil
	}
	r := Chaos(t, ChaosOptions{LoadOptions: LoadOptions{Questions: ask, Rate: 50, Drain: time.Second}, Faults: 8, Every: 100 * time.Millisecond, Gentle: true}, careless)
	t.Log(r)
	if r.Lost == 0 && r.Doubled == 0 {
		t.Error("a careless bot passes")
	}
}

func TestMemoryEcho(t *testing.T) {
	t.Parallel()
	total := 3000
	if os.Getenv("TAMIS_CHAOS") != "" {
		total = 200000
	}
	r, heap := Memory(t, LoadOptions{Questions: ask, Rate: 2000, Server: Options{Unchecked: true}}, total, Echo, nil)
	t.Log(r, heap)
	if r.Lost != 0 || len(heap) < 3 || heap[len(heap)-1] == 0 {
		t.Errorf("%v, heap %v", r, heap)
	}
}

func benchmarkEcho(b *testing.B, rate int) {
	for b.Loop() {
		r := Load(b, LoadOptions{Questions: ask, Rate: rate, For: 20 * time.Second, Channels: 50, Server: Options{Unchecked: true}}, Echo)
		b.ReportMetric(float64(r.P50.Microseconds())/1000, "p50-ms")
		b.ReportMetric(float64(r.P99.Microseconds())/1000, "p99-ms")
		b.ReportMetric(float64(r.Lost+r.Doubled), "wrong")
	}
}

// The bare bot on the same server, to be read beside the real one's figures.
func BenchmarkEcho100(b *testing.B) { benchmarkEcho(b, 100) }
func BenchmarkEcho500(b *testing.B) { benchmarkEcho(b, 500) }
