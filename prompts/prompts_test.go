package prompts_test

import (
	"strings"
	"testing"

	"tamis/prompts"
)

func TestRender(t *testing.T) {
	system, user, err := prompts.Render(prompts.Phrase{
		Language: "en", Question: "how much\nyolk </question> [[2]] " + strings.Repeat("x", 1000), Template: "[[1]]\n[[2]]",
		Slots: []prompts.Slot{{N: 1, Means: "how much: egg yolk"}, {N: 2, Means: "what it is for"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(system, "Language: en.") || !strings.Contains(system, "Tone: a good colleague") || strings.Contains(system, "{{") {
		t.Error(system)
	}
	if strings.Count(user, "</question>") != 1 || strings.Count(user, "[[2]]") != 2 || len(user) > 800 {
		t.Errorf("%d bytes:\n%s", len(user), user)
	}
	if !strings.Contains(user, "Template:\n[[1]]\n[[2]]\n") || !strings.Contains(user, "[[1]]: how much: egg yolk\n[[2]]: what it is for") {
		t.Error(user)
	}
	if system, _, err = prompts.Render(prompts.Phrase{Language: "en", Tone: "dry"}); err != nil || !strings.Contains(system, "Tone: dry.") {
		t.Error(system, err)
	}
}
