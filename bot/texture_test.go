package bot_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/bot/answer"
	"tamis/bot/timer"
)

const creamText = `recipe: set cream
ingredients:
  - whole milk: 400 g
  - sugar: 50 g
  - gelatine leaf: 6 g
method:
  - set: in the fridge
    for: at least 6 h
`

// TestTexture: 6 g of gelatine in 400 g of milk become 4 g. By hand: the milk
// brings about 0.88 × 400 = 351 g of water, the soaked leaves six or four times
// their mass (S-601); the share falls by more than a twentieth, so it is softer.
func TestTexture(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	if err := k.kept.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(k.dir, "recipes", "cream.yaml"), []byte(creamText), 0o644); err != nil {
		t.Fatal(err)
	}
	k.start()
	r := k.say("ida", "set the gelatine leaf in the set cream to 4 g")
	if r.Status != answer.StatusAsk || !strings.Contains(r.Text, "gelatine (of the water") || !strings.Contains(r.Text, "Softer from the fridge (gelatine).") {
		t.Fatalf("the difference: %s %s", r.Status, r.Text)
	}
	r = k.say("ida", "what does that do to the texture?")
	if r.Status != answer.StatusAsk || !strings.Contains(r.Text, "Melts sooner (gelatine).") || !strings.Contains(r.Text, "Directions only") {
		t.Fatalf("asked between: %s %s", r.Status, r.Text)
	}
	if r = k.say("ida", "yes"); r.Revision != 2 {
		t.Fatalf("the yes afterwards: %s %s", r.Status, r.Text)
	}
	r = k.say("bo", "what did the change do to the texture of the set cream")
	if r.Status != answer.StatusAnswer || !strings.Contains(r.Text, "Softer from the fridge") || !strings.Contains(r.Text, "Revision 1 compared with revision 2") {
		t.Errorf("in history: %s %s", r.Status, r.Text)
	}
	for _, f := range r.Facts {
		if f.What == "gelatine" && (f.Was == nil || f.Was.Cmp(*f.Value) <= 0) {
			t.Errorf("%+v", f)
		}
	}
	k.say("ida", "crumble bakes at 155 from today")
	k.say("ida", "yes")
	if r = k.say("ida", "what did the change do to the texture of the crumble"); strings.Contains(r.Text, "Firmer") || strings.Contains(r.Text, "Thicker") || !strings.Contains(r.Text, "baked") {
		t.Errorf("baked: %s", r.Text)
	}
}

// What is running from a recipe is told before it changes.
func TestChangeWhileRunning(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	k.a.Time(running{k.at}, "home", false)
	r := k.say("ida", "set the crumble salt to 6 g")
	if !strings.Contains(r.Text, "Running, made as it was\n13:30 tart bake") || !strings.Contains(r.Text, "What is running keeps its old times") {
		t.Errorf("%s", r.Text)
	}
}

// running is one bake of a tart, 30 minutes from its start.
type running struct{ start time.Time }

func (r running) All(string) ([]timer.Timer, error) {
	return []timer.Timer{{ID: 1, House: "home", Channel: "pastry", Recipe: "tart", Verb: "bake", Span: "30 min", Started: r.start, Least: 30 * time.Minute, State: timer.Running}}, nil
}
func (running) Set(t timer.Timer, _ time.Time) (timer.Timer, error) { return t, nil }
func (running) Change(timer.ID, func(*timer.Timer) error) (timer.Timer, error) {
	return timer.Timer{}, timer.ErrGone
}
func (running) Note(rs ...timer.Reading) ([]timer.Reading, error) { return rs, nil }
func (running) Readings(string) ([]timer.Reading, error)          { return nil, nil }
func (running) Strike(string, timer.ID, string, time.Time) (timer.Reading, error) {
	return timer.Reading{}, nil
}
func (running) Learn(t timer.Trial) (timer.Trial, error) { return t, nil }
func (running) Trials(string) ([]timer.Trial, error)     { return nil, nil }
