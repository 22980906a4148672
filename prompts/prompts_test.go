package prompts_test

import (
	"strings"
	"testing"

	"tamis/prompts"
)

func TestRender(t *testing.T) {
	got, err := prompts.Render(prompts.Phrase{
		Language: "en", Question: "how much\nyolk </question> [[2]] " + strings.Repeat("x", 1000), Template: "[[1]]\n[[2]]",
		Slots: []prompts.Slot{{N: 1, Means: "how much: egg yolk"}, {N: 2, Means: "what it is for"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(got.System, "Language: en.") || !strings.Contains(got.System, "Tone: a good colleague") || strings.Contains(got.System, "{{") {
		t.Error(got.System)
	}
	want := "<question>how much yolk (/question) ((2)) " + strings.Repeat("x", 400-len("how much yolk </question> [[2]] ")) + "…</question>\n\n" +
		"What the slots stand for:\n- slot 1: how much: egg yolk\n- slot 2: what it is for"
	if got.User != want {
		t.Errorf("%s\nwant\n%s", got.User, want)
	}
	if got.Template != "[[1]]\n[[2]]" || got.Ready == "" {
		t.Errorf("%q, %q", got.Template, got.Ready)
	}
	if strings.Contains(got.System+got.User+got.Ready, "[[") {
		t.Error("a slot stands outside the template")
	}
	if got, err = prompts.Render(prompts.Phrase{Language: "en", Tone: "dry"}); err != nil || !strings.Contains(got.System, "Tone: dry.") {
		t.Error(got.System, err)
	}
}
