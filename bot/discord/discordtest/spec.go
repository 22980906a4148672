package discordtest

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

//go:embed testdata/openapi.json
var openapi []byte

// spec is the platform's own description of its REST side, made strict: an
// object that lists its properties admits no other, so that a misspelt key is
// found. It is compiled piece by piece, when a piece is asked for.
type spec struct {
	mu        sync.Mutex
	compiler  *jsonschema.Compiler
	compiled  map[string]*jsonschema.Schema
	templates []template
}

type template struct {
	path     string
	segments []string
	literals int
	methods  map[string]map[string]any
}

var theSpec = sync.OnceValues(loadSpec)

func loadSpec() (*spec, error) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(openapi))
	if err != nil {
		return nil, fmt.Errorf("openapi.json does not decode: %w", err)
	}
	loose := map[string]bool{}
	collectAllOf(doc.(map[string]any)["components"], loose)
	makeStrict(doc, "#", loose)
	s := &spec{compiler: jsonschema.NewCompiler(), compiled: map[string]*jsonschema.Schema{}}
	s.compiler.DefaultDraft(jsonschema.Draft2020)
	if err := s.compiler.AddResource("mem:///openapi.json", doc); err != nil {
		return nil, fmt.Errorf("openapi.json is no resource: %w", err)
	}
	paths, _ := doc.(map[string]any)["paths"].(map[string]any)
	for path, item := range paths {
		t := template{path: path, segments: strings.Split(strings.Trim(path, "/"), "/"), methods: map[string]map[string]any{}}
		for _, seg := range t.segments {
			if !strings.HasPrefix(seg, "{") {
				t.literals++
			}
		}
		for method, op := range item.(map[string]any) {
			if m, ok := op.(map[string]any); ok && m["responses"] != nil {
				t.methods[strings.ToUpper(method)] = m
			}
		}
		s.templates = append(s.templates, t)
	}
	if len(s.templates) < 100 {
		return nil, fmt.Errorf("openapi.json has only %d paths", len(s.templates))
	}
	return s, nil
}

// collectAllOf finds what is put together with allOf: each part sees the keys
// of the others, so none of them may be closed. The forms under paths, which put
// a body and its files together, are not looked at: no part of them is used.
func collectAllOf(v any, loose map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		if parts, ok := v["allOf"].([]any); ok {
			for _, p := range parts {
				if ref, ok := p.(map[string]any)["$ref"].(string); ok {
					loose[ref] = true
				}
			}
		}
		for _, c := range v {
			collectAllOf(c, loose)
		}
	case []any:
		for _, c := range v {
			collectAllOf(c, loose)
		}
	}
}

func makeStrict(v any, at string, loose map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		if _, ok := v["properties"].(map[string]any); ok && !loose[at] && !strings.Contains(at, "/allOf") {
			open := false
			for _, k := range []string{"additionalProperties", "allOf", "anyOf", "oneOf"} {
				if _, ok := v[k]; ok {
					open = true
				}
			}
			if !open {
				v["additionalProperties"] = false
			}
		}
		for k, c := range v {
			makeStrict(c, at+"/"+k, loose)
		}
	case []any:
		for _, c := range v {
			makeStrict(c, at, loose)
		}
	}
}

// match finds the path of the specification that a request's path belongs to:
// as many segments, a {name} takes anything, most literal segments win.
func (s *spec) match(method, path string) (t *template, params map[string]string, methodKnown bool) {
	segments := strings.Split(strings.Trim(path, "/"), "/")
	var best, other *template
	for i := range s.templates {
		c := &s.templates[i]
		if len(c.segments) != len(segments) {
			continue
		}
		ok := true
		for j, seg := range c.segments {
			if !strings.HasPrefix(seg, "{") && seg != segments[j] {
				ok = false
				break
			}
		}
		if !ok {
			continue
		}
		if c.methods[method] == nil {
			other = c
		} else if best == nil || c.literals > best.literals {
			best = c
		}
	}
	if best == nil {
		return other, nil, false
	}
	params = map[string]string{}
	for j, seg := range best.segments {
		if strings.HasPrefix(seg, "{") {
			params[strings.Trim(seg, "{}")] = segments[j]
		}
	}
	return best, params, true
}

var pointerEscape = strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D")

func (s *spec) schema(pointer string) (*jsonschema.Schema, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c, ok := s.compiled[pointer]; ok {
		return c, nil
	}
	c, err := s.compiler.Compile("mem:///openapi.json" + pointer)
	if err != nil {
		return nil, fmt.Errorf("the specification has no usable %s: %w", pointer, err)
	}
	s.compiled[pointer] = c
	return c, nil
}

// checkRequest holds a JSON body (or the payload_json of a multipart one)
// against the specification. A body where none is due is a fault as well.
func (s *spec) checkRequest(t *template, method string, body []byte) error {
	op := t.methods[method]
	content, _ := op["requestBody"].(map[string]any)
	if content == nil {
		if len(bytes.TrimSpace(body)) > 0 && string(bytes.TrimSpace(body)) != "null" {
			return fmt.Errorf("%s %s takes no body", method, t.path)
		}
		return nil
	}
	if types, _ := content["content"].(map[string]any); types["application/json"] == nil {
		return fmt.Errorf("%s %s takes no JSON", method, t.path)
	}
	c, err := s.schema("#/paths/" + pointerEscape.Replace(t.path) + "/" + strings.ToLower(method) + "/requestBody/content/application~1json/schema")
	if err != nil {
		return err
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(body))
	if err != nil {
		return fmt.Errorf("the body is not JSON: %w", err)
	}
	return deepest(c.Validate(forgive(v, true)))
}

// checkReply holds what the server itself sends against the specification.
func (s *spec) checkReply(t *template, method string, status int, body []byte) error {
	op := t.methods[method]
	responses, _ := op["responses"].(map[string]any)
	key := fmt.Sprint(status)
	pointer := "#/paths/" + pointerEscape.Replace(t.path) + "/" + strings.ToLower(method) + "/responses/" + key + "/content/application~1json/schema"
	switch {
	case status == 429:
		pointer = "#/components/schemas/RatelimitedResponse"
	case status >= 400 && status < 500:
		pointer = "#/components/schemas/ErrorResponse"
	case status >= 500:
		return nil // the specification has nothing to say on these
	case responses[key] == nil:
		return fmt.Errorf("%s %s never answers %d", method, t.path, status)
	case status == 204:
		if len(body) > 0 {
			return errors.New("204 with a body")
		}
		return nil
	}
	return s.checkAgainst(pointer, body)
}

// checkAgainst holds JSON against one schema of the specification.
func (s *spec) checkAgainst(pointer string, body []byte) error {
	c, err := s.schema(pointer)
	if err != nil {
		return err
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(body))
	if err != nil {
		return err
	}
	return deepest(c.Validate(v))
}

// forgive takes out what the client library always sends and the real service
// always takes: nulls, a few empty defaults, and permissions as a string.
func forgive(v any, top bool) any {
	switch v := v.(type) {
	case map[string]any:
		for k, c := range v {
			switch {
			case c == nil,
				c == false && (k == "tts" || k == "autocomplete" || k == "invitable"),
				k == "content" && c == "",
				top && (k == "ID" || k == "Channel"):
				delete(v, k)
			case k == "default_member_permissions" && digits(c):
				n, _ := jsonschema.UnmarshalJSON(strings.NewReader(c.(string)))
				v[k] = n
			default:
				v[k] = forgive(c, false)
			}
		}
	case []any:
		for i, c := range v {
			v[i] = forgive(c, false)
		}
	}
	return v
}

func digits(v any) bool {
	s, ok := v.(string)
	return ok && s != "" && strings.Trim(s, "0123456789") == "" && (s == "0" || s[0] != '0')
}

// deepest says only the fault that lies deepest in the body: the branches of a
// union that were not meant fail nearer to its root, or at the type they ask for.
func deepest(err error) error {
	var ve *jsonschema.ValidationError
	if err == nil || !errors.As(err, &ve) {
		return err
	}
	best, bestRank := "", -1
	var walk func(e *jsonschema.ValidationError)
	walk = func(e *jsonschema.ValidationError) {
		for _, c := range e.Causes {
			walk(c)
		}
		if len(e.Causes) > 0 {
			return
		}
		text := e.Error()
		if i := strings.LastIndex(text, "\n- "); i >= 0 {
			text = text[i+3:]
		}
		rank := 2 * len(e.InstanceLocation)
		switch n := len(e.InstanceLocation); {
		case n > 0 && e.InstanceLocation[n-1] == "type":
			rank -= 3
		case strings.Contains(text, ", want "):
			rank--
		}
		if rank > bestRank {
			best, bestRank = text, rank
		}
	}
	walk(ve)
	return errors.New(strings.TrimPrefix(strings.TrimSpace(best), "at "))
}
