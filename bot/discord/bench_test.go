package discord_test

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"tamis/bot/discord/discordtest"
)

// BenchmarkChannel measures the time from a question to its answer standing in the
// channel, beside the barest bot on the same client library and server. The server
// runs in the same process, its checks against the specification left out.
// TAMIS_LOAD=20s makes each run that long.
func BenchmarkChannel(b *testing.B) {
	length := 5 * time.Second
	if d, err := time.ParseDuration(os.Getenv("TAMIS_LOAD")); err == nil {
		length = d
	}
	for _, rate := range []int{100, 500} {
		for _, bot := range []struct {
			name  string
			start discordtest.StartBot
		}{{"echo", discordtest.Echo}, {"tamis", serve(b, demoAsker(b), nil)}} {
			b.Run(fmt.Sprintf("%s/%d a second", bot.name, rate), func(b *testing.B) {
				for range b.N {
					r := discordtest.Load(b, discordtest.LoadOptions{Questions: mixed, Rate: rate, For: length, Drain: time.Minute, Server: discordtest.Options{Unchecked: true}}, bot.start)
					b.ReportMetric(float64(r.P50.Microseconds())/1000, "ms-p50")
					b.ReportMetric(float64(r.P99.Microseconds())/1000, "ms-p99")
					b.ReportMetric(float64(r.Lost+r.Doubled), "lost+doubled")
					b.ReportMetric(float64(r.Asked)/r.Took.Seconds(), "msg/s")
				}
			})
		}
	}
}

// BenchmarkMemory asks TAMIS_MEMORY questions (20,000) and reports the heap, bot and
// server together, after the second and after the last tenth of them.
func BenchmarkMemory(b *testing.B) {
	total := 20000
	if n, err := strconv.Atoi(os.Getenv("TAMIS_MEMORY")); err == nil {
		total = n
	}
	for range b.N {
		r, heap := discordtest.Memory(b, discordtest.LoadOptions{Questions: mixed, Server: discordtest.Options{Unchecked: true}}, total, serve(b, demoAsker(b), nil), nil)
		if r.Lost+r.Doubled != 0 || len(heap) < 3 {
			b.Fatal(r, heap)
		}
		b.ReportMetric(float64(heap[1])/1e6, "MB-early")
		b.ReportMetric(float64(heap[len(heap)-1])/1e6, "MB-late")
		b.ReportMetric(float64(r.P99.Microseconds())/1000, "ms-p99")
	}
}
