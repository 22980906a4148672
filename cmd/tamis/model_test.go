package main

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// asked runs tamis ask --json with a model that always says draft.
func asked(t *testing.T, draft, question string) (line map[string]any, requests int) {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		requests++
		_ = json.NewEncoder(w).Encode(map[string]any{"choices": []any{map[string]any{"message": map[string]string{"role": "assistant", "content": draft}}}})
	}))
	defer s.Close()
	var out, errOut bytes.Buffer
	env := map[string]string{"TAMIS_MODEL_URL": s.URL + "/v1"}
	if draft == "" {
		env = nil
	}
	if code := run(t.Context(), []string{"ask", "--json", question}, strings.NewReader(""), &out, &errOut, func(k string) string { return env[k] }); code != 0 {
		t.Fatalf("exit %d: %s", code, errOut.String())
	}
	if err := json.Unmarshal(out.Bytes(), &line); err != nil {
		t.Fatal(err)
	}
	return line, requests
}

// A model words the body; facts, notes and cautions are the same with it and without.
func TestModel(t *testing.T) {
	for _, tt := range []struct {
		question, draft, text, keptBack string
		phrased                         bool
		requests                        int
	}{
		{"how much yolk for 3x ice cream base", "You need [[1]] for [[2]], chef.", "You need 450 g egg yolk for brown butter ice cream × 3, chef.", "", true, 1},
		{"how much yolk for 3x ice cream base", "You need about [[1]] for [[2]], chef.", "450 g egg yolk\nbrown butter ice cream × 3", "compare", false, 1},
		{"how much yolk for 3x ice cream base", "Take 900 g, [[1]] for [[2]].", "450 g egg yolk\nbrown butter ice cream × 3", "number", false, 1},
		{"rye tuile: oven?", "The [[2]]: [[1]].", "The rye tuile: bake at 160 °C.", "", true, 1},
		{"does the crumble contain nuts", "[[1]]", "", "kind", false, 0},
		{"is the tuile veggie", "Sure!", "", "kind", false, 0},
		{"mushroom jus stood out all night, can i use it", "Fine!", "", "kind", false, 0},
		{"pear and sorrel for 45", "So: [[1]]", "", "kind", false, 0},
	} {
		plain, _ := asked(t, "", tt.question)
		got, requests := asked(t, tt.draft, tt.question)
		if tt.text == "" {
			tt.text = plain["text"].(string)
		}
		kept, _ := got["kept_back"].(string)
		if got["text"] != tt.text || got["phrased"] != tt.phrased || kept != tt.keptBack || requests != tt.requests {
			t.Errorf("%s: %q, phrased %v, kept back %q, %d requests; want %q, %v, %q, %d", tt.question, got["text"], got["phrased"], kept, requests, tt.text, tt.phrased, tt.keptBack, tt.requests)
		}
		for _, k := range []string{"status", "about", "facts", "cautions", "words", "assumed", "choices", "ask"} {
			a, _ := json.Marshal(plain[k])
			b, _ := json.Marshal(got[k])
			if !bytes.Equal(a, b) {
				t.Errorf("%s: %s is %s with a model, %s without", tt.question, k, b, a)
			}
		}
		if _, has := plain["phrased"]; has {
			t.Errorf("%s: phrased is said without a model", tt.question)
		}
	}
}
