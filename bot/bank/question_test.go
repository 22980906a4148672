package bank

import (
	"encoding/json"
	"hash/fnv"
	"path/filepath"
	"testing"
)

// question is one line of a bank, with the marks that let it be asked of another book and be taken apart.
type question struct {
	ID      string   `json:"id"`
	Text    string   `json:"text"`
	Who     string   `json:"who"`
	Role    string   `json:"role"`
	Channel string   `json:"channel"`
	Now     string   `json:"now,omitempty"`
	Expect  expected `json:"expect"`
	Kind    string   `json:"kind"`
	Needs   []string `json:"needs"`
	Why     string   `json:"why"`
	Names   []named  `json:"names,omitempty"`
	NoSwap  bool     `json:"no_swap,omitempty"` // needs words or data of the trade that renamed books do not have
}

// named is a name or an amount as it was typed, and what it stands for.
type named struct {
	Kind  string `json:"kind"` // recipe, ingredient, amount; expected: only in what is due
	Typed string `json:"typed,omitempty"`
	Name  string `json:"name,omitempty"`
}

type expected struct {
	Status    oneOrMore `json:"status"`
	Facts     []wanted  `json:"facts,omitempty"`
	Recipe    string    `json:"recipe,omitempty"`
	Items     *itemised `json:"items,omitempty"`
	NotItems  []string  `json:"not_items,omitempty"`
	NoNumbers bool      `json:"forbid_numbers,omitempty"`
	AboutAny  []string  `json:"about_any,omitempty"`
	Choices   []string  `json:"choices_any,omitempty"`
	Says      []string  `json:"says,omitempty"`     // words the text must carry
	Caution   string    `json:"caution,omitempty"`  // code of a caution that must be there
	NoSuits   string    `json:"no_suits,omitempty"` // a diet that must not be among `suits`
}

type wanted struct {
	What     string          `json:"what"`
	Value    json.RawMessage `json:"value"`
	Unit     string          `json:"unit"`
	Or       []wanted        `json:"or,omitempty"`
	NotUnits []string        `json:"not_units,omitempty"`
	Tol      json.RawMessage `json:"tol,omitempty"`
}

type itemised struct {
	What     string   `json:"what,omitempty"`
	Contains []string `json:"contains,omitempty"`
	Names    []string `json:"names,omitempty"`
	AnyList  bool     `json:"any_list,omitempty"`
}

type oneOrMore []string

func (o *oneOrMore) UnmarshalJSON(data []byte) error {
	var one string
	if json.Unmarshal(data, &one) == nil {
		*o = oneOrMore{one}
		return nil
	}
	var many []string
	if err := json.Unmarshal(data, &many); err != nil {
		return err
	}
	*o = many
	return nil
}

func (o oneOrMore) MarshalJSON() ([]byte, error) {
	if len(o) == 1 {
		return json.Marshal(o[0])
	}
	return json.Marshal([]string(o))
}

func (q question) line() asked {
	return asked{Text: q.Text, Who: q.Who, Role: q.Role, Channel: q.Channel, Now: q.Now}
}

// held says whether a question is of the half whose failures nobody reads.
func (q question) held() bool {
	h := fnv.New32a()
	_, _ = h.Write([]byte(q.Text))
	return h.Sum32()%2 == 1
}

func bankOf(t testing.TB, name string) []question {
	t.Helper()
	return readQuestions(t, filepath.Join(root, "testdata", "bank", name+".jsonl"))
}
