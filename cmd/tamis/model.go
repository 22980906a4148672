package main

import (
	"fmt"
	"net/url"
	"time"

	"tamis/bot"
	"tamis/bot/phrase"
)

// model is the language model that the environment names, nil if none.
func (p *program) model() (*phrase.Model, error) {
	at := p.getenv("TAMIS_MODEL_URL")
	if at == "" {
		return nil, nil
	}
	if u, err := url.Parse(at); err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, useError{fmt.Errorf("TAMIS_MODEL_URL is no address such as http://127.0.0.1:8080/v1")}
	}
	s := phrase.Settings{URL: at, Model: p.getenv("TAMIS_MODEL"), Key: p.getenv("TAMIS_MODEL_KEY"), Tone: p.getenv("TAMIS_MODEL_TONE"), Now: time.Now, Log: p.log()}
	if s.Model == "" {
		s.Model = "default"
	}
	if t := p.getenv("TAMIS_MODEL_TIMEOUT"); t != "" {
		d, err := time.ParseDuration(t)
		if err != nil || d <= 0 {
			return nil, useError{fmt.Errorf("TAMIS_MODEL_TIMEOUT %q is no time such as 2s", t)}
		}
		s.Timeout = d
	}
	return phrase.New(s), nil
}

// bounds are those of the decision, where the environment moves them to measure
// what they cost: TAMIS_BOUNDS="below margin".
func (p *program) bounds() (bot.Option, error) {
	s := p.getenv("TAMIS_BOUNDS")
	if s == "" {
		return nil, nil
	}
	var below, margin int
	if n, err := fmt.Sscanf(s, "%d %d", &below, &margin); n != 2 || err != nil || below < 0 || margin < 0 {
		return nil, useError{fmt.Errorf("TAMIS_BOUNDS %q is no pair of numbers such as \"14 2\"", s)}
	}
	return bot.WithBounds(below, margin), nil
}
